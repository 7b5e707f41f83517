import { isRefusal, type Answer } from '../refusal.js';
import { wilson, type Interval } from './wilson.js';

/** The first share less the second, -1 to 1, with the interval of the difference. */
export interface Difference extends Interval {
  readonly difference: number;
}

/**
 * The difference of two independent shares by Newcombe's square-and-add of two Wilson intervals.
 *
 * Source: R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890, method 10.
 */
export function differenceOf(
  count: number,
  total: number,
  otherCount: number,
  otherTotal: number,
  level = 0.95,
): Answer<Difference> {
  const [own, other] = [wilson(count, total, { level }), wilson(otherCount, otherTotal, { level })];
  if (isRefusal(own)) return own;
  if (isRefusal(other)) return other;
  const [p, q] = [count / total, otherCount / otherTotal];
  return {
    difference: p - q,
    low: p - q - Math.hypot(p - own.low, other.high - q),
    high: p - q + Math.hypot(own.high - p, q - other.low),
  };
}
