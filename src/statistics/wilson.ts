import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import type { Answer } from '../refusal.js';
import { notCounts, outside } from './input.js';

/** Shares from 0 to 1. */
export interface Interval {
  readonly low: number;
  readonly high: number;
}

export interface IntervalOptions {
  /** How often intervals made so hold the true share; 0.95 where left out. */
  readonly level?: number;
  readonly continuity?: boolean;
}

/** The two-sided standard normal deviate of a level: 1.959964 for 0.95. */
export const deviateOf = (level: number): number => normalQuantile((1 + level) / 2, 0, 1);

/**
 * Wilson's score interval of a share, with the correction for continuity where asked for. It never leaves 0 to 1, and is
 * honest at no counts of few.
 *
 * Source: R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, methods 3 and 4.
 */
export function wilson(count: number, total: number, options: IntervalOptions = {}): Answer<Interval> {
  const { level = 0.95, continuity = false } = options;
  const wrong = notCounts(count, total) ?? outside(level, 'level', 0.01, 0.9999);
  if (wrong !== undefined) return wrong;
  const z = deviateOf(level);
  const p = count / total;
  const q = 1 - p;
  const scale = 2 * (total + z * z);
  const middle = 2 * total * p + z * z;
  if (!continuity) {
    const reach = z * Math.sqrt(z * z + 4 * total * p * q);
    // At the ends the root is exact in numbers, not in binary fractions.
    return {
      low: count === 0 ? 0 : (middle - reach) / scale,
      high: count === total ? 1 : (middle + reach) / scale,
    };
  }
  const reach = (side: 1 | -1) => z * Math.sqrt(z * z + side * 2 - 1 / total + 4 * p * (total * q - side));
  return {
    low: count === 0 ? 0 : Math.max(0, (middle - 1 - reach(-1)) / scale),
    high: count === total ? 1 : Math.min(1, (middle + 1 + reach(1)) / scale),
  };
}
