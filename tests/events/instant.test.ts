import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { DateTime } from 'luxon';
import { isLocalDate, isLocalMonth, parseInstant, readInstant } from '../../src/events/instant.js';
import { nearest } from '../../src/events/nearest.js';

describe('instants of RFC 3339', () => {
  // The examples of RFC 3339, section 5.8.
  test.each([
    ['1985-04-12T23:20:50.52Z', Date.UTC(1985, 3, 12, 23, 20, 50, 520)],
    ['1996-12-19T16:39:57-08:00', Date.UTC(1996, 11, 20, 0, 39, 57)],
    ['1990-12-31T23:59:60Z', Date.UTC(1991, 0, 1)],
    ['1990-12-31T15:59:60-08:00', Date.UTC(1991, 0, 1)],
    ['1937-01-01T12:00:27.87+00:20', Date.UTC(1937, 0, 1, 11, 40, 27, 870)],
    ['2026-03-09 07:00:00z', Date.UTC(2026, 2, 9, 7)],
    ['2024-02-29T00:00:00-00:00', Date.UTC(2024, 1, 29)],
    ['2026-03-09T07:00:00.123456789Z', Date.UTC(2026, 2, 9, 7, 0, 0, 123)],
  ])('%s', (text, at) => expect(readInstant(text)).toBe(at));

  test.each([
    ['2026-03-09T07:00:00', 'offset'],
    ['2026-03-09T07:00:00.5', 'offset'],
    ['2026-03-09', 'format'],
    ['2026-03-09T07:00Z', 'format'],
    ['2026-02-29T07:00:00Z', 'format'],
    ['1900-02-29T07:00:00Z', 'format'],
    ['2026-13-01T07:00:00Z', 'format'],
    ['2026-00-01T07:00:00Z', 'format'],
    ['2026-04-31T07:00:00Z', 'format'],
    ['2026-03-09T24:00:00Z', 'format'],
    ['2026-03-09T07:60:00Z', 'format'],
    ['2026-03-09T07:00:60Z', 'format'],
    ['2026-03-09T07:00:00+24:00', 'format'],
    ['2026-03-09T07:00:00+0100', 'format'],
    ['20260309T070000Z', 'format'],
    [' 2026-03-09T07:00:00Z', 'format'],
    ['+002026-03-09T07:00:00Z', 'format'],
    ['', 'format'],
  ])('%s has none: %s', (text, fault) => expect(readInstant(text)).toBe(fault));

  test('any instant, written in any zone by another library, is read back', () => {
    const zone = fc.constantFrom('America/Los_Angeles', 'America/Chicago', 'Asia/Kathmandu', 'Pacific/Chatham', 'UTC');
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4_102_444_800_000 }), zone, (at, zone) => {
        expect(parseInstant(DateTime.fromMillis(at, { zone }).toISO() ?? '')).toBe(at);
      }),
    );
  });
});

test('dates and months', () => {
  expect(['2026-02-28', '2024-02-29'].every(isLocalDate)).toBe(true);
  expect(['2026-02-29', '2026-2-8', '2026-02', '2026-02-28T00:00:00Z', '2026-00-10'].some(isLocalDate)).toBe(false);
  expect(['2026-01', '2026-12'].every(isLocalMonth)).toBe(true);
  expect(['2026-00', '2026-13', '2026-1', '2026-01-01'].some(isLocalMonth)).toBe(false);
});

test('the nearest name, when one is near enough', () => {
  const names = ['developer', 'fixer', 'wash', 'rinse'];
  expect(nearest('develper', names)).toBe('developer');
  expect(nearest('Fixer', names)).toBe('fixer');
  expect(nearest('dev', names)).toBe('developer');
  expect(nearest('toner', names)).toBeUndefined();
  expect(nearest('', names)).toBeUndefined();
  expect(nearest('x'.repeat(100_000), names)).toBeUndefined();
});
