import { refuse, type Refusal } from '../refusal.js';

/** Why a list of readings cannot be reckoned with, if it cannot: too few of them, or one that is no finite number. */
export function unfit(values: readonly number[], of: string, atLeast: number): Refusal | undefined {
  const wrong = values.findIndex((value) => !Number.isFinite(value) || Math.abs(value) > largest);
  if (wrong >= 0) return refuse('not-a-number', `${of}[${wrong}]`, `${of}[${wrong}] is not a finite number in reach.`);
  if (values.length < atLeast)
    return refuse('too-few', of, `${values.length} readings are too few; it takes at least ${atLeast}.`);
  return undefined;
}

/** Beyond it squares and sums are no longer to be trusted, and no reading of ours comes near it. */
const largest = 1e100;

/** Why a number is out of its range, if it is. Ends are within. */
export function outside(value: number, of: string, from: number, to: number): Refusal | undefined {
  if (Number.isFinite(value) && value >= from && value <= to) return undefined;
  return refuse('out-of-range', of, `${of} is ${value}; it is from ${from} to ${to}.`);
}

/** Why counts are not those of a proportion: whole, not below 0, no more of them than there are at all. */
export function notCounts(count: number, total: number, of = 'count'): Refusal | undefined {
  if (!Number.isSafeInteger(total) || total < 1)
    return refuse('not-a-count', 'total', `The total is ${total}; it is a whole number above 0.`);
  if (!Number.isSafeInteger(count) || count < 0 || count > total)
    return refuse('not-a-count', of, `${of} is ${count}; it is a whole number from 0 to the total, ${total}.`);
  return undefined;
}

export const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;
