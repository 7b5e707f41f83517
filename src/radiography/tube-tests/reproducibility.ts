import { atMost } from '../../events/units.js';
import type { Answer } from '../../refusal.js';
import { mean } from '../../statistics/input.js';
import { notAllAbove0 } from '../input.js';

/** How well a unit repeats itself at the same settings. Readings in any one unit of output, or of time. */
export interface Reproducibility {
  readonly count: number;
  readonly mean: number;
  /** Standard deviation (n - 1) over the mean. */
  readonly variation: number;
  readonly range: number;
}

/** At least this many exposures: all sources that were read ask for four (the federal text for ten, not read). */
export const fewestExposures = 4;

/**
 * Coefficient of variation and range of repeated exposures. The two are results of their own: a range of a fifth of
 * the mean goes with a coefficient of about 0.10 in four exposures, a range of a tenth with about 0.05 (by the
 * constant 2.059 of the mean range of four), so a rule of one does not stand for a rule of the other.
 */
export function reproducibility(readings: readonly number[]): Answer<Reproducibility> {
  const wrong = notAllAbove0(readings, 'readings', fewestExposures);
  if (wrong !== undefined) return wrong;
  const middle = mean(readings);
  const squares = readings.reduce((sum, reading) => sum + (reading - middle) ** 2, 0);
  return {
    count: readings.length,
    mean: middle,
    variation: Math.sqrt(squares / (readings.length - 1)) / middle,
    range: Math.max(...readings) - Math.min(...readings),
  };
}

/**
 * The rules that codes print, by their words. All are met at their edge.
 * - `variation-5-percent`: coefficient of variation at most 0.05 (OAR 333-106-0315; WAC 246-225-090);
 * - `variation-10-percent`: at most 0.10 (named beside the rule of five ranges; read in no code: no check by itself);
 * - `mean-5-ranges`: of four exposures the mean at least five times the range (OAR 333-106-0315);
 * - `range-10-percent`: of four exposures the range at most a tenth of the mean (WAC 246-225-090).
 *
 * The range rules are for four exposures and say nothing of more. Shares are compared, so that the unit of the readings
 * is of no matter.
 */
export const reproducibilityRules = {
  'variation-5-percent': ({ variation }) => atMost(variation, 0.05),
  'variation-10-percent': ({ variation }) => atMost(variation, 0.1),
  'mean-5-ranges': (of) => rangeWithin(of, 0.2),
  'range-10-percent': (of) => rangeWithin(of, 0.1),
} as const satisfies Record<string, (of: Reproducibility) => boolean | undefined>;

const rangeWithin = ({ count, mean, range }: Reproducibility, share: number): boolean | undefined =>
  count === fewestExposures ? atMost(range / mean, share) : undefined;

export type ReproducibilityRule = keyof typeof reproducibilityRules;
