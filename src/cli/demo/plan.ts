import { DateTime } from 'luxon';
import type { Office } from './offices.js';
import type { ToldWeek } from './weeks/index.js';

/** The day the offices are set up, the first and the last day of the season; local dates. */
export const seasonDates = { setUp: '2026-01-02', from: '2026-01-05', to: '2026-09-30' } as const;

/** Days on which every office of the group stays closed. */
export const holidays: readonly string[] = ['2026-01-19', '2026-05-25', '2026-07-03', '2026-09-07'];

/** A planned change comes this long after the last; one that falls so near to a told change is left to that. */
const between = { changes: 28, near: 14 } as const;

/** The working days of the season, as local dates. */
export function workingDays(office: Office): string[] {
  const worked = office.config.workingDays ?? [1, 2, 3, 4, 5];
  const days: string[] = [];
  for (let day = noon(seasonDates.from); day.toISODate() <= seasonDates.to; day = day.plus({ days: 1 })) {
    const date = day.toISODate();
    if (worked.includes(day.weekday) && !holidays.includes(date)) days.push(date);
  }
  return days;
}

/** Whether a told week accounts for that line on that day. */
export function isTold(weeks: readonly ToldWeek[], line: string, date: string): boolean {
  return weeks.some((week) =>
    week.owns.some((days) => date >= days.from && date <= days.to && (days.line === undefined || days.line === line)),
  );
}

/** Whether a told week keeps the office closed on that day. */
export function isClosed(weeks: readonly ToldWeek[], date: string): boolean {
  return weeks.some((week) => week.owns.some((days) => days.closed === true && date >= days.from && date <= days.to));
}

/**
 * The dates of a line's ordinary changes of chemistry: about every four weeks, on working days that are not told, and
 * none between the changes of one told week, which decides how old the bath grows.
 */
export function ordinaryChanges(line: string, days: readonly string[], weeks: readonly ToldWeek[]): string[] {
  const told = weeks.map((week) => week.changes.filter((change) => change.line === line).map((change) => change.date));
  const dates = told.flat().sort();
  const changes: string[] = [];
  let last: string = seasonDates.setUp;
  for (const date of days) {
    const latest = dates.filter((one) => one <= date).at(-1);
    if (latest !== undefined && latest > last) last = latest;
    const next = dates.find((one) => one > date);
    const withinOneWeek = told.some((own) => own.some((one) => one <= date) && own.some((one) => one > date));
    if (daysFrom(last, date) < between.changes || withinOneWeek || isTold(weeks, line, date)) continue;
    if (next !== undefined && daysFrom(date, next) < between.near) continue;
    changes.push(date);
    last = date;
  }
  return changes;
}

/** Calendar days from one local date to another. */
export function daysFrom(from: string, to: string): number {
  return Math.round(noon(to).diff(noon(from), 'days').days);
}

function noon(date: string): DateTime<true> {
  const time = DateTime.fromISO(`${date}T12:00`, { zone: 'utc' });
  if (!time.isValid) throw new Error(`${date} is not a date`);
  return time;
}
