import type { Answer } from '../refusal.js';
import { chanceOfAtLeast, chanceOfAtMost } from './binomial.js';
import { isRefusal } from '../refusal.js';
import { notCounts, outside } from './input.js';
import { deviateOf, type Interval } from './wilson.js';

/** Levels of a funnel: outside the first is worth a look, outside the second is hardly chance. */
export const funnelLevels = { alert: 0.95, alarm: 0.998 } as const;

/**
 * Within which a share of so many should lie if it is the overall share but for chance: the normal limits of a funnel
 * plot, kept to 0 and 1. Among many offices some lie outside by chance alone.
 *
 * Source: D. J. Spiegelhalter, Statistics in Medicine 24 (2005) 1185-1202, and the letter at
 * https://studylib.net/doc/18281472/funnel-plots-for-comparing-institutional-performance
 *
 * @param overall share, 0 to 1
 * @param total on which the share of one office rests
 */
export function funnelLimits(overall: number, total: number, level: number): Answer<Interval> {
  const wrong = notCounts(0, total) ?? outside(overall, 'overall', 0, 1) ?? outside(level, 'level', 0.01, 0.9999);
  if (wrong !== undefined) return wrong;
  const reach = deviateOf(level) * Math.sqrt((overall * (1 - overall)) / total);
  return { low: Math.max(0, overall - reach), high: Math.min(1, overall + reach) };
}

/** Whether a count is outside the funnel by the exact binomial: for few, where normal limits mislead. */
export function isOutsideFunnel(count: number, total: number, overall: number, level: number): Answer<boolean> {
  const wrong = outside(level, 'level', 0.01, 0.9999);
  if (wrong !== undefined) return wrong;
  const [more, fewer] = [chanceOfAtLeast(count, total, overall), chanceOfAtMost(count, total, overall)];
  if (isRefusal(more)) return more;
  if (isRefusal(fewer)) return fewer;
  return Math.min(more, fewer) < (1 - level) / 2;
}
