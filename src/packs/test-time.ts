import { DateTime } from 'luxon';
import type { Period } from './model.js';

/**
 * Times of the tests in a pack. Fixed: `2026-03-02T08:00` by the site's clock, or with an offset. Relative to the test's
 * `clock`: `+2 h`, `+1 h 30 min`, `+1 d 8:00`, `8:00`.
 *
 *     relative = ["+" step {" " step}] [" " H:MM]        at least one of the two
 *     step     = whole number up to 9999 " " (mo | wk | d | h | min), larger units first, each once
 *
 * Months, weeks and days are counted by the site's calendar and keep the clock's time of day, or take the one that
 * follows them; hours and minutes are elapsed time. A time of day does not follow hours or minutes.
 */
export type TestTime =
  | { readonly kind: 'fixed'; readonly text: string }
  | {
      readonly kind: 'relative';
      readonly steps: readonly Period[];
      readonly timeOfDay?: { readonly hour: number; readonly minute: number };
    };

const units: readonly Period['unit'][] = ['mo', 'wk', 'd', 'h', 'min'];

/** Undefined when it is neither. */
export function readTestTime(text: string): TestTime | undefined {
  if (isFixed(text)) return { kind: 'fixed', text };
  const words = text.trim().split(/ +/);
  const timeOfDay = readTimeOfDay(words.at(-1) ?? '');
  if (timeOfDay !== undefined) words.pop();
  if (words.length === 0) return timeOfDay === undefined ? undefined : { kind: 'relative', steps: [], timeOfDay };
  if (words[0]?.startsWith('+') !== true) return undefined;
  words[0] = words[0].slice(1);
  if (words[0] === '') words.shift();
  const steps = readSteps(words);
  if (steps === undefined) return undefined;
  const isCalendar = steps.every(({ unit }) => unit !== 'h' && unit !== 'min');
  if (timeOfDay === undefined) return { kind: 'relative', steps };
  return isCalendar ? { kind: 'relative', steps, timeOfDay } : undefined;
}

function readSteps(words: readonly string[]): Period[] | undefined {
  if (words.length === 0 || words.length % 2 !== 0) return undefined;
  const steps: Period[] = [];
  let before = -1;
  for (let index = 0; index < words.length; index += 2) {
    const [count = '', word] = words.slice(index, index + 2);
    const rank = units.findIndex((unit) => unit === word);
    const unit = units[rank];
    if (!/^\d{1,4}$/.test(count) || unit === undefined || rank <= before) return undefined;
    before = rank;
    steps.push({ count: Number(count), unit });
  }
  return steps;
}

function readTimeOfDay(word: string): { hour: number; minute: number } | undefined {
  const [, hour, minute] = /^(\d\d?):([0-5]\d)$/.exec(word) ?? [];
  return hour === undefined || minute === undefined || Number(hour) > 23
    ? undefined
    : { hour: Number(hour), minute: Number(minute) };
}

/** The instant (ms) of a time that was read without fault. `clock` is that of the test, ms; a relative time needs it. */
export function instantOf(text: string, zone: string, clock?: number): number {
  const time = readTestTime(text);
  if (time === undefined) throw new RangeError(`${text} is not a time of a test.`);
  if (time.kind === 'fixed') return DateTime.fromISO(time.text, { zone }).toMillis();
  if (clock === undefined) throw new RangeError(`${text} counts from the clock of its test, which has none.`);
  const total = (unit: Period['unit']) => time.steps.find((step) => step.unit === unit)?.count ?? 0;
  let at = DateTime.fromMillis(clock, { zone }).plus({ months: total('mo'), weeks: total('wk'), days: total('d') });
  if (time.timeOfDay !== undefined) at = at.set({ ...time.timeOfDay, second: 0, millisecond: 0 });
  return at.plus({ hours: total('h'), minutes: total('min') }).toMillis();
}

/** So long after an instant (ms): months, weeks and days by the calendar, hours and minutes elapsed. */
export function after(at: number, { count, unit }: Period, zone: string): number {
  const name = { mo: 'months', wk: 'weeks', d: 'days', h: 'hours', min: 'minutes' } as const;
  return DateTime.fromMillis(at, { zone })
    .plus({ [name[unit]]: count })
    .toMillis();
}

function isFixed(value: string): boolean {
  const [, day, hour] =
    /^(\d{4}-\d\d-\d\d)T(\d\d):[0-5]\d(?::[0-5]\d(?:\.\d{1,3})?)?(?:Z|[+-]\d\d:[0-5]\d)?$/.exec(value) ?? [];
  return day !== undefined && isDate(day) && Number(hour) < 24;
}

/** Whether a text is a date of the calendar, YYYY-MM-DD. */
export function isDate(value: string): boolean {
  if (!/^\d{4}-\d\d-\d\d$/.test(value)) return false;
  const at = new Date(`${value}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().startsWith(value);
}
