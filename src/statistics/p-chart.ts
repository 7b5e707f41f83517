import { refuse, type Answer } from '../refusal.js';
import { notCounts } from './input.js';

export interface Sample {
  readonly count: number;
  readonly total: number;
}

/** Limits of one sample: they follow its own size. Shares from 0 to 1. */
export interface ProportionPoint {
  readonly share: number;
  readonly low: number;
  readonly high: number;
  readonly isBeyond: boolean;
}

export interface ProportionChart {
  readonly centre: number;
  readonly points: readonly ProportionPoint[];
}

/**
 * The chart of proportions of samples that need not be of one size, limits at three standard deviations of the
 * binomial. A share cannot lie below 0 or above 1, and neither can its limits.
 *
 * Source: NIST/SEMATECH e-Handbook 6.3.3.2, https://www.itl.nist.gov/div898/handbook/pmc/section3/pmc332.htm
 */
export function pChart(samples: readonly Sample[]): Answer<ProportionChart> {
  if (samples.length === 0) return refuse('too-few', 'samples', 'Without a sample there is no chart.');
  for (const { count, total } of samples) {
    const wrong = notCounts(count, total);
    if (wrong !== undefined) return wrong;
  }
  const all = samples.reduce((sum, each) => ({ count: sum.count + each.count, total: sum.total + each.total }));
  const centre = all.count / all.total;
  const points = samples.map(({ count, total }) => {
    const reach = 3 * Math.sqrt((centre * (1 - centre)) / total);
    const [share, low, high] = [count / total, Math.max(0, centre - reach), Math.min(1, centre + reach)];
    return { share, low, high, isBeyond: share < low || share > high };
  });
  return { centre, points };
}
