import { describe, expect, test } from '@jest/globals';
import { DateTime } from 'luxon';
import {
  before,
  closureAt,
  daysBetween,
  dueAfter,
  isWorkingDay,
  lastWorkingDay,
  localDate,
  nextWorkingDay,
  siteDay,
  startOfDate,
} from '../../src/engine/calendar.js';
import { createState } from '../../src/engine/fold.js';
import type { SiteConfig } from '../../src/events/site.js';

const zone = 'America/Chicago';
const at = (local: string) => DateTime.fromISO(local, { zone }).toMillis();
const site = (workingDays?: readonly number[]) => ({ zone, workingDays }) as unknown as SiteConfig;

describe('reminders', () => {
  test.each([
    [{ count: 1, unit: 'mo' }, '2026-03-31T00:00', '2026-02-28T00:00'],
    [{ count: 2, unit: 'wk' }, '2026-03-15T00:00', '2026-03-01T00:00'],
    // Over the change of clocks: the same time of day.
    [{ count: 1, unit: 'd' }, '2026-03-09T00:00', '2026-03-08T00:00'],
    [{ count: 24, unit: 'h' }, '2026-03-09T00:00', '2026-03-07T23:00'],
    [{ count: 30, unit: 'min' }, '2026-03-09T00:00', '2026-03-08T23:30'],
  ] as const)('%p before %s', (period, due, reminder) => {
    expect(before(at(due), period, zone)).toBe(at(reminder));
  });
});

test('days between two dates, over the change of clocks and a leap day', () => {
  expect(daysBetween('2026-03-01', '2026-03-01')).toBe(0);
  expect(daysBetween('2026-03-01', '2026-03-31')).toBe(30);
  expect(daysBetween('2028-02-01', '2028-03-01')).toBe(29);
  expect(daysBetween('2026-03-31', '2026-03-01')).toBe(-30);
});

test('weeks and minutes after an event', () => {
  expect(dueAfter(at('2026-03-02T10:00'), { count: 2, unit: 'wk' }, zone)).toBe(at('2026-03-17T00:00'));
  expect(dueAfter(at('2026-03-02T10:00'), { count: 90, unit: 'min' }, zone)).toBe(at('2026-03-02T11:30'));
});

describe('days of a site', () => {
  test('a day knows its bounds, which are not shared with who asked before', () => {
    const one = siteDay(at('2026-03-08T12:00'), zone);
    expect(one).toEqual({ start: at('2026-03-08T00:00'), end: at('2026-03-09T00:00'), date: '2026-03-08' });
    one.start = 0;
    expect(siteDay(at('2026-03-08T13:00'), zone).start).toBe(at('2026-03-08T00:00'));
    expect(siteDay(at('2026-03-08T00:00'), zone).date).toBe('2026-03-08');
    expect(siteDay(at('2026-03-08T00:00') - 1, zone).date).toBe('2026-03-07');
  });

  test('more days than are kept of a zone', () => {
    for (let n = 1; n <= 28; n++) {
      const date = `2026-02-${String(n).padStart(2, '0')}`;
      expect(localDate(at(`${date}T12:00`), zone)).toBe(date);
    }
    expect(localDate(at('2026-02-01T12:00'), zone)).toBe('2026-02-01');
  });

  test('the start of a date, and of days after it', () => {
    expect(startOfDate('2026-03-07', zone)).toBe(at('2026-03-07T00:00'));
    expect(startOfDate('2026-03-07', zone, 2)).toBe(at('2026-03-09T00:00'));
  });
});

describe('working days', () => {
  const state = createState();
  state.closures = [
    { from: at('2026-03-04T00:00'), to: at('2026-03-06T00:00') },
    { from: at('2026-03-10T00:00'), to: at('2026-03-11T00:00'), line: 'M1' },
  ] as typeof state.closures;

  test('Monday to Friday, unless the site says otherwise', () => {
    expect(isWorkingDay(state, site(), at('2026-03-06T12:00'))).toBe(true);
    expect(isWorkingDay(state, site(), at('2026-03-07T12:00'))).toBe(false);
    expect(isWorkingDay(state, site(), at('2026-03-08T12:00'))).toBe(false);
    expect(isWorkingDay(state, site([6, 7]), at('2026-03-07T12:00'))).toBe(true);
    expect(isWorkingDay(state, site([6, 7]), at('2026-03-08T12:00'))).toBe(true);
    expect(isWorkingDay(state, site([6, 7]), at('2026-03-09T12:00'))).toBe(false);
  });

  test('no day of a closure; one of a line closes that line alone', () => {
    expect(isWorkingDay(state, site(), at('2026-03-04T00:00'))).toBe(false);
    expect(isWorkingDay(state, site(), at('2026-03-03T23:59'))).toBe(true);
    expect(closureAt(state.closures, at('2026-03-06T00:00'))).toBeUndefined();
    expect(isWorkingDay(state, site(), at('2026-03-04T12:00'), 'M1')).toBe(false);
    expect(isWorkingDay(state, site(), at('2026-03-10T12:00'), 'M1')).toBe(false);
    expect(isWorkingDay(state, site(), at('2026-03-10T12:00'), 'M2')).toBe(true);
    expect(isWorkingDay(state, site(), at('2026-03-10T12:00'))).toBe(true);
  });

  test('the next and the last one', () => {
    expect(nextWorkingDay(state, site(), at('2026-03-03T12:00'))).toBe(at('2026-03-03T00:00'));
    expect(nextWorkingDay(state, site(), at('2026-03-04T12:00'))).toBe(at('2026-03-06T00:00'));
    expect(nextWorkingDay(state, site(), at('2026-03-07T12:00'))).toBe(at('2026-03-09T00:00'));
    expect(nextWorkingDay(state, site(), at('2026-03-10T12:00'), 'M1')).toBe(at('2026-03-11T00:00'));
    expect(lastWorkingDay(state, site(), at('2026-03-08T12:00'))).toBe(at('2026-03-06T00:00'));
    expect(lastWorkingDay(state, site(), at('2026-03-05T12:00'))).toBe(at('2026-03-03T00:00'));
  });

  test('none where nobody works, nor within a closure without end', () => {
    expect(nextWorkingDay(state, site([]), at('2026-03-03T12:00'))).toBeUndefined();
    expect(lastWorkingDay(state, site([]), at('2026-03-03T12:00'))).toBeUndefined();
    const shut = createState();
    shut.closures = [{ from: at('2026-03-01T00:00'), to: Infinity, timed: false }];
    expect(nextWorkingDay(shut, site(), at('2026-03-03T12:00'))).toBeUndefined();
    // Looking back, the day before the closure.
    expect(lastWorkingDay(shut, site(), at('2026-03-03T12:00'))).toBe(at('2026-02-27T00:00'));
  });
});
