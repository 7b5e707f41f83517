import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import type { Answer } from '../refusal.js';
import { mean, outside, unfit } from './input.js';
import type { Interval } from './wilson.js';

/** In the unit of the readings. */
export interface Shift extends Interval {
  /** Mean of the new ones less that of the old. */
  readonly shift: number;
}

/** Readings of either lot of film that a crossover takes. */
export const crossedOver = 5;

/**
 * By how much the aim moves when a new lot is crossed over with the old one: the difference of the means, with Welch's
 * interval, which does not ask that both lots scatter alike.
 */
export function shiftOf(old: readonly number[], fresh: readonly number[], level = 0.95): Answer<Shift> {
  const wrong =
    unfit(old, 'old', crossedOver) ?? unfit(fresh, 'fresh', crossedOver) ?? outside(level, 'level', 0.01, 0.9999);
  if (wrong !== undefined) return wrong;
  const shift = mean(fresh) - mean(old);
  const [a, b] = [old, fresh].map((values) => variance(values) / values.length);
  const [ofOld, ofFresh] = [a ?? 0, b ?? 0];
  const error = ofOld + ofFresh;
  if (error === 0) return { shift, low: shift, high: shift };
  const part = ofOld / error;
  const degrees = 1 / (part ** 2 / (old.length - 1) + (1 - part) ** 2 / (fresh.length - 1));
  const reach = tQuantile((1 + level) / 2, degrees) * Math.sqrt(error);
  return { shift, low: shift - reach, high: shift + reach };
}

function variance(values: readonly number[]): number {
  const middle = mean(values);
  return values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1);
}
