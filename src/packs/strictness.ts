import { atLeast, atMost } from '../events/units.js';
import { lookUp } from './chart.js';
import type { Chart, Period, Selector } from './model.js';

export type Side = 'min' | 'max';

/**
 * A bound as far as it is known: one number, or what a chart gives over its keys. Strictness is compared on what a bound
 * comes to and never on how it is written.
 */
export interface Curve {
  /** The facts it is looked up by; none for one number. */
  readonly by: readonly string[];
  /** Where it may bend or step, of each fact. */
  readonly keys: readonly (readonly number[])[];
  /** Undefined where it gives no answer. */
  at(keys: readonly number[]): number | undefined;
}

export function constant(value: number): Curve {
  return { by: [], keys: [], at: () => value };
}

export function curveOf(chart: Chart, plus = 0): Curve {
  const cells = chart.doubtfulCells ?? [];
  const firsts = [...chart.rows.map(({ key }) => key), ...chart.doubtful, ...cells.map(([key]) => key)];
  const seconds = [...chart.rows.flatMap(({ and }) => and ?? []), ...cells.map(([, and]) => and)];
  const one = chart.and === undefined;
  return {
    by: one ? [chart.by] : [chart.by, chart.and],
    keys: one ? [firsts] : [firsts, seconds],
    at: ([key = NaN, and]) => {
      const value = lookUp(chart, key, and);
      return value === undefined ? undefined : value + plus;
    },
  };
}

/** Either of two satisfies: only what breaks both is broken, so the looser counts, where both answer. */
export function either(side: Side, one: Curve, other: Curve): Curve | undefined {
  const sameFacts = one.by.join() === other.by.join();
  if (one.by.length > 0 && other.by.length > 0 && !sameFacts) return undefined;
  const by = one.by.length > 0 ? one.by : other.by;
  return {
    by,
    keys: by.map((_, index) => [...(one.keys[index] ?? []), ...(other.keys[index] ?? [])]),
    at: (keys) => {
      const [a, b] = [one.at(keys), other.at(keys)];
      if (a === undefined || b === undefined) return undefined;
      return side === 'min' ? Math.min(a, b) : Math.max(a, b);
    },
  };
}

/** Whether `one` is stricter than `other` nowhere: what breaks it breaks the other too. */
export function isNoStricter(side: Side, one: Curve, other: Curve, budget = new Budget()): boolean {
  return everywhere(one, other, budget, (a, b) => a === undefined || (b !== undefined && within(side, b, a)));
}

/** The same of multiples of one fact, which is never below 0. */
export function isNoStricterMultiple(side: Side, one: number, other: number): boolean {
  return within(side, other, one);
}

/** Keys at which a value would have to be at least `low` and at most `high`, and cannot; the first of them. */
export function clash(low: Curve, high: Curve, budget = new Budget()): readonly number[] | undefined {
  let found: readonly number[] | undefined;
  everywhere(low, high, budget, (a, b, keys) => {
    if (a !== undefined && b !== undefined && !atMost(a, b)) found = keys;
    return found === undefined;
  });
  return found;
}

const within = (side: Side, bound: number, value: number) =>
  side === 'max' ? atMost(bound, value) : atLeast(bound, value);

/** Points at which curves may still be compared: tables written to be slow must not cost more than a moment. */
export class Budget {
  constructor(private left = 20_000) {}

  /** Whether there are so many left; then they are spent. */
  spend(points: number): boolean {
    if (points > this.left) return false;
    this.left -= points;
    return true;
  }
}

/**
 * Whether something holds of two curves at all keys. Both are steps or straight lines between the keys of either, so
 * the keys, the middles between them, the points just below them and those outside decide. False when it cannot be told.
 */
function everywhere(
  one: Curve,
  other: Curve,
  budget: Budget,
  holds: (a: number | undefined, b: number | undefined, keys: readonly number[]) => boolean,
): boolean {
  if (one.by.length > 0 && other.by.length > 0 && one.by.join() !== other.by.join()) return false;
  const columns = (one.by.length > 0 ? one : other).by.map((_, index) =>
    points([...(one.keys[index] ?? []), ...(other.keys[index] ?? [])]),
  );
  if (!budget.spend(columns.reduce((count, column) => count * column.length, 1))) return false;
  const [firsts, seconds] = columns;
  if (firsts === undefined) return holds(one.at([]), other.at([]), []);
  return firsts.every((key) =>
    (seconds ?? [undefined]).every((and) => {
      const keys = and === undefined ? [key] : [key, and];
      return holds(one.at(keys), other.at(keys), keys);
    }),
  );
}

function points(keys: readonly number[]): number[] {
  const sorted = [...new Set(keys)].sort((a, b) => a - b);
  const outside = [(sorted[0] ?? 0) - 1, (sorted.at(-1) ?? 0) + 1];
  const inside = sorted.flatMap((key, index) => {
    const next = sorted[index + 1];
    return next === undefined ? [key] : [key, (key + next) / 2, next - (next - key) * 1e-6];
  });
  return [...inside, ...outside];
}

/** Whether a selector speaks wherever another does. */
export function covers(wide: Selector, narrow: Selector): boolean {
  return Object.entries(wide).every(([field, words]: [string, readonly string[] | undefined]) => {
    const asked = narrow[field as keyof Selector];
    return words === undefined || (asked !== undefined && asked.every((word) => words.includes(word)));
  });
}

const clockHours: Partial<Record<Period['unit'], number>> = { h: 1, min: 1 / 60 };

/** Whether a period is at least as long as another, from whatever day both are counted; false when the day decides. */
export function isNeverShorter(one: Period, other: Period): boolean {
  const [a, b] = [clockHours[one.unit], clockHours[other.unit]];
  if (a !== undefined && b !== undefined) return atLeast(one.count * a, other.count * b);
  // The last day counts to its end, so a calendar period is up to a day longer than its days, and an hour off.
  if (a !== undefined) return one.count * a >= (days(other).most + 1) * 24 + 1;
  if (b !== undefined) return days(one).least * 24 - 1 >= other.count * b;
  if (one.unit === 'mo' && other.unit === 'mo') return one.count >= other.count;
  return days(one).least >= days(other).most;
}

interface Days {
  readonly least: number;
  readonly most: number;
}
const monthsKnown = new Map<number, Days>();

function days({ count, unit }: Period): Days {
  if (unit === 'd') return { least: count, most: count };
  if (unit === 'wk') return { least: 7 * count, most: 7 * count };
  let known = monthsKnown.get(count);
  if (known === undefined) {
    if (monthsKnown.size >= 1000) monthsKnown.clear();
    monthsKnown.set(count, (known = lengthOf(count)));
  }
  return known;
}

function lengthOf(count: number): Days {
  let [least, most] = [Infinity, 0];
  // Four years hold every length that so many months can have, but for the century years.
  for (let month = 0; month < 48; month++)
    for (const day of [1, 28, 29, 30, 31]) {
      const from = Date.UTC(2023, month, day);
      if (new Date(from).getUTCMonth() !== month % 12) continue;
      const last = new Date(Date.UTC(2023, month + count + 1, 0)).getUTCDate();
      const length = (Date.UTC(2023, month + count, Math.min(day, last)) - from) / 86_400_000;
      least = Math.min(least, length);
      most = Math.max(most, length);
    }
  return { least, most };
}
