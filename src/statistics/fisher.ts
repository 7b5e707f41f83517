import hypergeometricPmf from '@stdlib/stats-base-dists-hypergeometric-pmf';
import { refuse, type Answer, type Refusal } from '../refusal.js';
import { notCounts } from './input.js';

/** The largest group that is summed over: beyond it a test of two shares is no longer exact work for a request. */
const most = 100_000;

/**
 * Fisher's exact test of two shares, one-sided: how often chance alone gives the first group at least so many, when the
 * two together have as many as they have.
 * @param count and @param total of the first group, @param otherCount and @param otherTotal of the other
 * @returns a probability, 0 to 1
 */
export function fisherGreater(count: number, total: number, otherCount: number, otherTotal: number): Answer<number> {
  const wrong = unfitTable(count, total, otherCount, otherTotal);
  if (wrong !== undefined) return wrong;
  const all = total + otherTotal;
  const marked = count + otherCount;
  let chance = 0;
  for (let more = count; more <= Math.min(total, marked); more++) chance += hypergeometricPmf(more, all, marked, total);
  return Math.min(1, chance);
}

/** The two-sided test: all tables no likelier than the one seen. */
export function fisher(count: number, total: number, otherCount: number, otherTotal: number): Answer<number> {
  const wrong = unfitTable(count, total, otherCount, otherTotal);
  if (wrong !== undefined) return wrong;
  const all = total + otherTotal;
  const marked = count + otherCount;
  const seen = hypergeometricPmf(count, all, marked, total);
  let chance = 0;
  for (let other = Math.max(0, marked - otherTotal); other <= Math.min(total, marked); other++) {
    const each = hypergeometricPmf(other, all, marked, total);
    // Equal chances differ in the last bits.
    if (each <= seen * (1 + 1e-7)) chance += each;
  }
  return Math.min(1, chance);
}

/** Why two groups are none that the tests can count, if they are. */
function unfitTable(count: number, total: number, otherCount: number, otherTotal: number): Refusal | undefined {
  const wrong = notCounts(count, total) ?? notCounts(otherCount, otherTotal, 'otherCount');
  const all = total + otherTotal;
  if (wrong !== undefined || all <= most) return wrong;
  return refuse('too-many', 'total', `${all} is more than is counted exactly; at most ${most}.`);
}
