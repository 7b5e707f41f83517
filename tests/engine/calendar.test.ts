import { DateTime } from 'luxon';
import fc from 'fast-check';
import { describe, expect, test } from '@jest/globals';
import { daysBetween, dueAfter, siteDay } from '../../src/engine/calendar.js';

const at = (local: string, zone: string) => DateTime.fromISO(local, { zone }).toMillis();

describe('due instants of calendar periods', () => {
  test.each([
    // The day of the change is day 0; in limit through the end of the last day.
    ['60 days from 8 January', '2026-01-08T12:30', { count: 60, unit: 'd' }, '2026-03-10T00:00'],
    ['two months from 8 January', '2026-01-08T12:30', { count: 2, unit: 'mo' }, '2026-03-09T00:00'],
    ['60 days from 1 July come before two months', '2026-07-01T09:00', { count: 60, unit: 'd' }, '2026-08-31T00:00'],
    ['two months from 1 July', '2026-07-01T09:00', { count: 2, unit: 'mo' }, '2026-09-02T00:00'],
    ['two months from 31 December end with February', '2026-12-31T09:00', { count: 2, unit: 'mo' }, '2027-03-01T00:00'],
    ['… also in a leap year', '2027-12-31T09:00', { count: 2, unit: 'mo' }, '2028-03-01T00:00'],
    ['three months from 1 July', '2026-07-01T09:00', { count: 3, unit: 'mo' }, '2026-10-02T00:00'],
  ] as const)('%s', (_name, from, period, due) => {
    const zone = 'America/Los_Angeles';
    expect(dueAfter(at(from, zone), period, zone)).toBe(at(due, zone));
  });

  test('the day the clocks change is an ordinary calendar day: the due instant has the new offset', () => {
    const due = dueAfter(
      at('2026-01-08T12:30', 'America/Los_Angeles'),
      { count: 2, unit: 'mo' },
      'America/Los_Angeles',
    );
    expect(new Date(due).toISOString()).toBe('2026-03-09T07:00:00.000Z');
  });

  test('hours run from the instant itself, across a change of clocks too', () => {
    const from = at('2026-03-07T10:20', 'America/Chicago');
    expect(dueAfter(from, { count: 24, unit: 'h' }, 'America/Chicago') - from).toBe(86_400_000);
  });
});

test('a site-day holds its instant, and days follow one another without gaps', () => {
  const zones = ['America/Los_Angeles', 'America/Denver', 'America/Chicago', 'Pacific/Apia', 'Australia/Lord_Howe'];
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 4e12 }), fc.constantFrom(...zones), (instant, zone) => {
      const day = siteDay(instant, zone);
      expect(day.start <= instant && instant < day.end).toBe(true);
      expect(siteDay(day.end, zone).start).toBe(day.end);
      expect(daysBetween(day.date, siteDay(day.end, zone).date)).toBeGreaterThanOrEqual(1);
    }),
    { numRuns: 300 },
  );
});
