import type { Answer } from '../refusal.js';
import { mean, unfit } from './input.js';

/** Constants of the range of two readings: its mean in standard deviations, and the upper factor of its chart. */
export const rangeOfTwo = { d2: 1.128, D4: 3.267 } as const;

/** A chart of single readings, limits at three standard deviations; all in the readings' unit. */
export interface IndividualsChart {
  readonly centre: number;
  /** Standard deviation, from the mean moving range. */
  readonly spread: number;
  readonly low: number;
  readonly high: number;
  /** Mean of the ranges between neighbours, and the upper limit of those. */
  readonly movingRange: number;
  readonly movingRangeHigh: number;
}

/**
 * The individuals and moving range chart of at least two readings in order of time. The spread is reckoned between
 * neighbours, so that a slow drift does not widen the limits that are to show it.
 *
 * Source: NIST/SEMATECH e-Handbook 6.3.2.2, https://www.itl.nist.gov/div898/handbook/pmc/section3/pmc322.htm
 *
 * @param values readings, oldest first
 * @param centre the aim, where it is not the mean of the readings
 */
export function individuals(values: readonly number[], centre?: number): Answer<IndividualsChart> {
  const wrong = unfit(values, 'values', 2) ?? (centre === undefined ? undefined : unfit([centre], 'centre', 1));
  if (wrong !== undefined) return wrong;
  const middle = centre ?? mean(values);
  const movingRange = mean(movingRanges(values));
  const spread = movingRange / rangeOfTwo.d2;
  return {
    ...{ centre: middle, spread, low: middle - 3 * spread, high: middle + 3 * spread },
    ...{ movingRange, movingRangeHigh: rangeOfTwo.D4 * movingRange },
  };
}

/** Distances between neighbours. */
export function movingRanges(values: readonly number[]): number[] {
  return values.slice(1).map((value, index) => Math.abs(value - (values[index] ?? value)));
}
