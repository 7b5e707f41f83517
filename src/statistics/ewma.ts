import type { Answer } from '../refusal.js';
import { outside, unfit } from './input.js';

export interface EwmaOptions {
  /** Weight of the latest reading, above 0 and at most 1. */
  readonly lambda: number;
  /** The aim, at which the mean begins. */
  readonly centre: number;
  /** Standard deviation of a single reading. */
  readonly spread: number;
  /** Limits in standard deviations of the mean; 3 where left out. */
  readonly width?: number;
}

/** The exponentially weighted moving average; each list has one entry a reading, in the readings' unit. */
export interface EwmaChart {
  readonly means: readonly number[];
  /** Standard deviation of each mean: it grows towards `spread * sqrt(lambda / (2 - lambda))`. */
  readonly spreads: readonly number[];
  /** Limits for a mean of many readings. */
  readonly low: number;
  readonly high: number;
}

/**
 * The moving average that remembers: shifts too small for a chart of single readings show in it.
 *
 * Source: NIST/SEMATECH e-Handbook 6.3.2.4, https://www.itl.nist.gov/div898/handbook/pmc/section3/pmc324.htm
 *
 * @param values readings, oldest first
 */
export function ewma(values: readonly number[], options: EwmaOptions): Answer<EwmaChart> {
  const { lambda, centre, spread, width = 3 } = options;
  const wrong =
    unfit(values, 'values', 1) ??
    outside(lambda, 'lambda', Number.EPSILON, 1) ??
    unfit([centre], 'centre', 1) ??
    outside(spread, 'spread', 0, 1e100) ??
    outside(width, 'width', 0, 100);
  if (wrong !== undefined) return wrong;
  const means: number[] = [];
  const spreads: number[] = [];
  for (const [index, value] of values.entries()) {
    means.push(ewmaStep(means.at(-1) ?? centre, value, lambda));
    spreads.push(spread * Math.sqrt((lambda / (2 - lambda)) * (1 - (1 - lambda) ** (2 * (index + 1)))));
  }
  const reach = width * spread * Math.sqrt(lambda / (2 - lambda));
  return { means, spreads, low: centre - reach, high: centre + reach };
}

/** One reading more. */
export const ewmaStep = (before: number, value: number, lambda: number): number =>
  lambda * value + (1 - lambda) * before;
