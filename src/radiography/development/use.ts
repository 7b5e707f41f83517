import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { refuse, type Answer } from '../../refusal.js';
import { mean, outside, unfit } from '../../statistics/input.js';

/** In how many days a count reaches its limit, with the interval of the use still to come. */
export interface Reach {
  readonly days: number;
  readonly earliest: number;
  /** Absent where so little is used that it may as well never be reached. */
  readonly latest?: number;
}

/** Days of record without which a rate of use is a guess: a week, so that its free days are in it. Our choice. */
export const fewestDays = 7;

/**
 * When a bath will have processed as much as it may, at the present rate of use. Days are taken as independent: what T
 * days will use has the mean `m T` and the variance `s2 (T + T2 / n)`, of which the second part is that the mean itself
 * rests on n days only. The interval ends where the limit lies at the edge of Student's 95 % for those T days.
 *
 * @param left what may still be processed, in films or in an area
 * @param daily use of each of the latest days, those without films as 0, in the same unit
 */
export function reachOf(left: number, daily: readonly number[]): Answer<Reach> {
  const wrong =
    outside(left, 'left', -1e12, 1e12) ??
    unfit(daily, 'daily', fewestDays) ??
    daily.map((each, day) => outside(each, `daily[${day}]`, 0, 1e12)).find((found) => found !== undefined);
  if (wrong !== undefined) return wrong;
  if (left <= 0) return { days: 0, earliest: 0, latest: 0 };
  const rate = mean(daily);
  if (rate === 0) return refuse('no-use', 'daily', 'Nothing was processed on these days: there is no rate of use.');
  const count = daily.length;
  const variance = daily.reduce((sum, each) => sum + (each - rate) ** 2, 0) / (count - 1);
  const spread = tQuantile(0.975, count - 1) ** 2 * variance;
  // (left - rate T)^2 = spread (T + T^2 / count), in T.
  const square = rate ** 2 - spread / count;
  const half = rate * left + spread / 2;
  const root = Math.sqrt(Math.max(0, half ** 2 - square * left ** 2));
  const days = left / rate;
  const earliest = left ** 2 / (half + root);
  return square > 0 ? { days, earliest, latest: (half + root) / square } : { days, earliest };
}
