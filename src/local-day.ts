import { DateTime } from 'luxon';

/**
 * Days of the calendar in an IANA zone, each an unbroken stretch of time: the days of a zone follow one another without
 * a gap or an overlap, whatever its clocks do. A calendar library left alone reads a midnight that comes twice by the
 * offset of the moment it is asked in; here the same question always has the same answer.
 */

const hour = 3_600_000;

/** Offset from UTC in ms. */
function offset(at: number, zone: string): number {
  return DateTime.fromMillis(at, { zone }).offset * 60_000;
}

const mostStarts = 20_000;
const starts = new Map<string, number>();

/**
 * The first instant (ms) at which a clock in `zone` shows the date, YYYY-MM-DD, or a later one. Asked for over and over:
 * answers are remembered, up to a bound.
 */
export function dayStart(date: string, zone: string): number {
  const key = `${zone} ${date}`;
  let start = starts.get(key);
  if (start === undefined) {
    if (starts.size >= mostStarts) starts.clear();
    starts.set(key, (start = findStart(date, zone)));
  }
  return start;
}

function findStart(date: string, zone: string): number {
  const wall = Date.parse(`${date}T00:00:00Z`);
  // Zones lie between 12 hours behind UTC and 14 ahead of it: midnight is somewhere between these two.
  let [low, high] = [wall - 15 * hour, wall + 13 * hour];
  const [before, after] = [offset(low, zone), offset(high, zone)];
  if (before === after) return wall - before;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (offset(middle, zone) === before) low = middle;
    else high = middle;
  }
  // `high` is now the instant at which the clocks are changed: midnight before it, at it (skipped), or after it.
  return wall - before < high ? wall - before : Math.max(high, wall - after);
}

export function datePlus(date: string, days: number): string {
  return dateOf(Date.parse(`${date}T00:00:00Z`) + days * 24 * hour);
}

function dateOf(utc: number): string {
  return new Date(utc).toISOString().split('T')[0] ?? '';
}

/** The day that holds the instant `at` (ms): its bounds, `start` inclusive and `end` exclusive, and its date. */
export function localDay(at: number, zone: string): { start: number; end: number; date: string } {
  let date = dateOf(at + offset(at, zone));
  let start = dayStart(date, zone);
  // Clocks put back across midnight show the day before once more; it is over all the same.
  while (at < start) start = dayStart((date = datePlus(date, -1)), zone);
  let end = dayStart(datePlus(date, 1), zone);
  for (; at >= end; end = dayStart(datePlus(date, 1), zone)) {
    date = datePlus(date, 1);
    start = end;
  }
  return { start, end, date };
}
