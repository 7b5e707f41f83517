import { isRefusal, type Answer } from '../refusal.js';
import { outside, unfit } from './input.js';

export interface CusumOptions {
  readonly target: number;
  /** Slack: half the shift that matters, in the readings' unit. */
  readonly slack: number;
  /** Decision interval, in the readings' unit. */
  readonly decision: number;
}

/** The two one-sided sums after a reading. */
export interface CusumSums {
  readonly high: number;
  readonly low: number;
}

export interface CusumChart {
  /** One entry a reading. */
  readonly sums: readonly CusumSums[];
  /** Plain sums of the distances from the target. */
  readonly plain: readonly number[];
  /** Indices at which a sum is beyond the decision interval. */
  readonly signals: readonly number[];
}

/**
 * The tabular cumulative sum, for a steady small shift.
 *
 * Source: NIST/SEMATECH e-Handbook 6.3.2.3, https://www.itl.nist.gov/div898/handbook/pmc/section3/pmc323.htm
 *
 * @param values readings, oldest first
 */
export function cusum(values: readonly number[], options: CusumOptions): Answer<CusumChart> {
  const { target, slack, decision } = options;
  const wrong =
    unfit(values, 'values', 1) ??
    unfit([target], 'target', 1) ??
    outside(slack, 'slack', 0, 1e100) ??
    outside(decision, 'decision', 0, 1e100);
  if (isRefusal(wrong)) return wrong;
  const sums: CusumSums[] = [];
  const plain: number[] = [];
  for (const value of values) {
    sums.push(cusumStep(sums.at(-1) ?? { high: 0, low: 0 }, value, options));
    plain.push((plain.at(-1) ?? 0) + value - target);
  }
  const signals = sums.flatMap(({ high, low }, index) => (high > decision || low > decision ? [index] : []));
  return { sums, plain, signals };
}

/** One reading more. */
export function cusumStep(before: CusumSums, value: number, { target, slack }: CusumOptions): CusumSums {
  return {
    high: Math.max(0, before.high + value - target - slack),
    low: Math.max(0, before.low + target - slack - value),
  };
}
