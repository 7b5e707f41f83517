import { DateTime } from 'luxon';
import type { SiteConfig } from '../events/site.js';
import { datePlus, dayStart, localDay } from '../local-day.js';
import type { Period } from '../packs/model.js';
import type { Closure, SiteState } from './state.js';

const hour = 3_600_000;
export const clockUnits: Partial<Record<Period['unit'], number>> = { h: hour, min: 60_000 };

/**
 * Calendar arithmetic in a zone costs tens of microseconds, and sites ask for the same few days over and over: answers
 * are remembered, up to a bound. Remembering changes no answer.
 */
function remember<T>(most: number): (key: string, compute: () => T) => T {
  const known = new Map<string, T>();
  return (key, compute) => {
    let value = known.get(key);
    if (value === undefined) {
      if (known.size >= most) known.clear();
      known.set(key, (value = compute()));
    }
    return value;
  };
}

const recentDays = new Map<string, SiteState['day'][]>();
/** Days kept of a zone: a replay and a due list go back and forth between a few. */
const mostDays = 16;

/** The site-day that holds `at`: its bounds in ms and its local date. */
export function siteDay(at: number, zone: string): SiteState['day'] {
  let recent = recentDays.get(zone);
  if (recent === undefined) recentDays.set(zone, (recent = []));
  for (const day of recent) if (day.start <= at && at < day.end) return { ...day };
  const day = localDay(at, zone);
  recent.unshift(day);
  if (recent.length > mostDays) recent.pop();
  return { ...day };
}

export function localDate(at: number, zone: string): string {
  return siteDay(at, zone).date;
}

/** Start of a local date, ms. */
export function startOfDate(date: string, zone: string, plusDays = 0): number {
  return dayStart(datePlus(date, plusDays), zone);
}

/** Whole calendar days between two local dates: an age in days, the day of the change being 0. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / 86_400_000);
}

const dueInstants = remember<number>(10_000);

/**
 * The first instant outside a period that began at `at`. Calendar periods are in limit through the end of their last
 * day, which has the same day number months later or is the month's last; clock periods run from the instant itself.
 */
export function dueAfter(at: number, period: Period, zone: string): number {
  const clock = clockUnits[period.unit];
  if (clock !== undefined) return at + period.count * clock;
  const unit = period.unit === 'mo' ? 'months' : period.unit === 'wk' ? 'weeks' : 'days';
  const { date } = siteDay(at, zone);
  return dueInstants(`${zone}|${date}|${period.count}${period.unit}`, () => {
    const last = DateTime.fromISO(date, { zone: 'utc' }).plus({ [unit]: period.count });
    return dayStart(last.plus({ days: 1 }).toISODate() ?? '', zone);
  });
}

/** `period` before `at`, for reminders: calendar days in the zone. */
export function before(at: number, period: Period, zone: string): number {
  const clock = clockUnits[period.unit];
  if (clock !== undefined) return at - period.count * clock;
  const unit = period.unit === 'mo' ? 'months' : period.unit === 'wk' ? 'weeks' : 'days';
  return DateTime.fromMillis(at, { zone })
    .minus({ [unit]: period.count })
    .toMillis();
}

const mondayToFriday: readonly number[] = [1, 2, 3, 4, 5];

/** The closure that covers an instant for a line (or the whole site), if any. */
export function closureAt(closures: readonly Closure[], at: number, line?: string): Closure | undefined {
  return closures.find(
    (closure) => closure.from <= at && at < closure.to && (closure.line === undefined || closure.line === line),
  );
}

/** Whether anything is owed on the site-day that holds `at`: a working weekday outside every closure. */
export function isWorkingDay(state: SiteState, config: SiteConfig, at: number, line?: string): boolean {
  // ISO weekdays: Sunday is 7.
  const weekday = new Date(`${localDate(at, config.zone)}T00:00:00Z`).getUTCDay() || 7;
  return (config.workingDays ?? mondayToFriday).includes(weekday) && closureAt(state.closures, at, line) === undefined;
}

const horizon = 400;

/** Start of the first working day at or after the day of `at`, ms; undefined when none comes within a year. */
export function nextWorkingDay(state: SiteState, config: SiteConfig, at: number, line?: string): number | undefined {
  return walk(state, config, at, 1, line);
}

/** Start of the last working day at or before the day of `at`, ms. */
export function lastWorkingDay(state: SiteState, config: SiteConfig, at: number, line?: string): number | undefined {
  return walk(state, config, at, -1, line);
}

function walk(state: SiteState, config: SiteConfig, at: number, direction: 1 | -1, line?: string): number | undefined {
  if (config.workingDays?.length === 0) return undefined;
  let { date } = siteDay(at, config.zone);
  for (let count = 0; count < horizon; count++) {
    const start = dayStart(date, config.zone);
    if (isWorkingDay(state, config, start, line)) return start;
    date = datePlus(date, direction);
  }
  return undefined;
}
