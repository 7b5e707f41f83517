import betaQuantile from '@stdlib/stats-base-dists-beta-quantile';
import binomialCdf from '@stdlib/stats-base-dists-binomial-cdf';
import type { Answer } from '../refusal.js';
import { notCounts, outside } from './input.js';
import type { Interval } from './wilson.js';

/**
 * How often chance alone gives at least so many: the exact one-sided test of a share against a given one.
 * @param share the share that is held against, 0 to 1
 * @returns a probability, 0 to 1
 */
export function chanceOfAtLeast(count: number, total: number, share: number): Answer<number> {
  const wrong = notCounts(count, total) ?? outside(share, 'share', 0, 1);
  if (wrong !== undefined) return wrong;
  if (count === 0) return 1;
  // Of the complement, so that a small chance is not lost as the difference of two numbers near 1.
  return clamped(binomialCdf(total - count, total, 1 - share));
}

/** How often chance alone gives at most so many. */
export function chanceOfAtMost(count: number, total: number, share: number): Answer<number> {
  const wrong = notCounts(count, total) ?? outside(share, 'share', 0, 1);
  return wrong ?? clamped(binomialCdf(count, total, share));
}

/**
 * The exact interval of Clopper and Pearson: it holds the true share at least as often as its level says.
 * @param level 0.95 where left out
 */
export function exactInterval(count: number, total: number, level = 0.95): Answer<Interval> {
  const wrong = notCounts(count, total) ?? outside(level, 'level', 0.01, 0.9999);
  if (wrong !== undefined) return wrong;
  const tail = (1 - level) / 2;
  return {
    low: count === 0 ? 0 : betaQuantile(tail, count, total - count + 1),
    high: count === total ? 1 : betaQuantile(1 - tail, count + 1, total - count),
  };
}

/** A sum of probabilities may pass 1 by the last bit. */
const clamped = (value: number) => Math.min(1, Math.max(0, value));
