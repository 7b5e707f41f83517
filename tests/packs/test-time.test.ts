import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { DateTime } from 'luxon';
import { instantOf, isDate, readTestTime } from '../../src/packs/test-time.js';

const zone = 'America/New_York';
const local = (text: string) => DateTime.fromISO(text, { zone }).toMillis();

describe('times of a test', () => {
  const clock = local('2026-03-07T08:00');
  test.each([
    // Clocks go forward in the night to 8 March: a calendar day has 23 hours.
    ['+1 d', '2026-03-08T08:00'],
    ['+24 h', '2026-03-08T09:00'],
    ['+1 d 1 h', '2026-03-08T09:00'],
    ['+1 d 7:40', '2026-03-08T07:40'],
    ['+ 2 wk 1 d 0:00', '2026-03-22T00:00'],
    ['+1 mo', '2026-04-07T08:00'],
    ['+1 h 30 min', '2026-03-07T09:30'],
    ['+90 min', '2026-03-07T09:30'],
    ['+0 min', '2026-03-07T08:00'],
    ['7:55', '2026-03-07T07:55'],
    ['2026-01-02T03:04', '2026-01-02T03:04'],
  ])('%s', (text, wanted) => {
    expect(instantOf(text, zone, clock)).toBe(local(wanted));
  });

  test('a month after the 31st is the last day of the month', () => {
    expect(instantOf('+1 mo', zone, local('2026-01-31T08:00'))).toBe(local('2026-02-28T08:00'));
  });

  test.each([
    '',
    '+',
    '2 h',
    '+2',
    '+h',
    '+2 h 1 d',
    '+1 d 1 d',
    '+2 h 8:00',
    '+1 d 24:00',
    '+1.5 h',
    '+-1 h',
    '+1 y',
    '+10000 d',
  ])('"%s" is none', (text) => {
    expect(readTestTime(text)).toBeUndefined();
  });

  test('any steps in their order are read, and lie as far ahead as luxon says', () => {
    const count = fc.nat({ max: 40 });
    fc.assert(
      fc.property(count, count, count, count, count, (mo, wk, d, h, min) => {
        const text = `+${mo} mo ${wk} wk ${d} d ${h} h ${min} min`;
        const wanted = DateTime.fromMillis(clock, { zone })
          .plus({ months: mo, weeks: wk, days: d })
          .plus({ hours: h, minutes: min });
        expect(instantOf(text, zone, clock)).toBe(wanted.toMillis());
      }),
      { numRuns: 50 },
    );
  });
});

test.each([
  ['2026-03-02', true],
  ['2028-02-29', true],
  ['2026-02-29', false],
  ['2026-13-01', false],
  ['2026-3-2', false],
  ['2026-03-02T08:00', false],
])('%s is a date: %p', (text, is) => {
  expect(isDate(text)).toBe(is);
});

test("fixed times, by the site's clock or with an offset", () => {
  expect(instantOf('2026-03-02T08:00:30.5', zone)).toBe(local('2026-03-02T08:00:30.500'));
  expect(instantOf('2026-03-02T08:00-08:00', zone)).toBe(Date.parse('2026-03-02T16:00:00Z'));
  expect(instantOf('2026-03-02T08:00Z', zone)).toBe(Date.parse('2026-03-02T08:00:00Z'));
  for (const wrong of [
    '2026-02-30T08:00',
    '2026-03-02T24:00',
    '2026-03-02T08:60',
    '2026-03-02 08:00',
    '2026-03-02T8:00',
  ])
    expect(readTestTime(wrong)).toBeUndefined();
});

test('what cannot be an instant is refused', () => {
  expect(() => instantOf('soon', zone, 0)).toThrow('soon is not a time of a test');
  expect(() => instantOf('+2 h', zone)).toThrow('counts from the clock');
});

describe('as it is read', () => {
  const step = (count: number, unit: string) => ({ count, unit });
  test.each([
    ['8:00', { kind: 'relative', steps: [], timeOfDay: { hour: 8, minute: 0 } }],
    ['23:59', { kind: 'relative', steps: [], timeOfDay: { hour: 23, minute: 59 } }],
    [
      '  +1 mo   2 d  07:30 ',
      { kind: 'relative', steps: [step(1, 'mo'), step(2, 'd')], timeOfDay: { hour: 7, minute: 30 } },
    ],
    ['+2 wk 5 min', { kind: 'relative', steps: [step(2, 'wk'), step(5, 'min')] }],
    ['2026-03-02T08:00:30', { kind: 'fixed', text: '2026-03-02T08:00:30' }],
    ['2026-03-02T08:00:30.125+01:00', { kind: 'fixed', text: '2026-03-02T08:00:30.125+01:00' }],
  ])('%p', (text, time) => {
    expect(readTestTime(text)).toEqual(time);
  });

  test.each([
    ['8:00x', 'x8:00', '8:60', '24:00', '8:0', '8h:00', '1 d 8:00', 'soon 8:00', 'soon', '1 d', '11 d', '11 d 8:00'],
    ['+1 d 2 min 8:00', '+1 h 8:00', '+1 d 1', '+1 d 1 8:00', '+1 x', '+1 d + 2 h', '+x d'],
    ['x2026-03-02T08:00', '2026-03-02T08:00x', '2026-03-02T08:00:30.1234', '12026-03-02T08:00', '2026-03-021T08:00'],
  ])('%p and others are no times', (...texts) => {
    for (const text of texts) expect([text, readTestTime(text)]).toEqual([text, undefined]);
  });

  test('what has no time of day keeps that of the clock, to the second', () => {
    const clock = local('2026-03-07T08:15:30');
    expect(instantOf('+1 d', zone, clock)).toBe(local('2026-03-08T08:15:30'));
    expect(instantOf('+1 d 8:15', zone, clock)).toBe(local('2026-03-08T08:15:00'));
    expect(instantOf('9:00', zone, clock)).toBe(local('2026-03-07T09:00:00'));
  });

  test('a date is the whole text', () => {
    for (const text of ['x2026-03-02', '2026-03-02x', '', '2026']) expect(isDate(text)).toBe(false);
  });
});
