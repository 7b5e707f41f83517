import { refuse, type Answer } from '../refusal.js';
import { unfit } from './input.js';

export interface ParetoRow {
  /** Absent for the row of everything else. */
  readonly name?: string;
  /** Of all, in percent, and with those above it. */
  readonly share: number;
  readonly cumulative: number;
}

/** More than 100 by so much is rounding of printed shares: half a unit of the last place for each of twenty. */
const rounding = 1;

/**
 * The most frequent first, with their shares summed up. What is not listed is a row of its own, last and without a name.
 *
 * @param shares in percent of all, by name
 * @returns a refusal where they are more than 100 % together: then an item was counted under two names
 */
export function pareto(shares: ReadonlyMap<string, number>): Answer<readonly ParetoRow[]> {
  const wrong = unfit([...shares.values()], 'shares', 1);
  if (wrong !== undefined) return wrong;
  const negative = [...shares].find(([, share]) => share < 0);
  if (negative !== undefined) return refuse('negative', negative[0], `The share of ${negative[0]} is below 0 %.`);
  const total = [...shares.values()].reduce((sum, share) => sum + share, 0);
  if (total > 100 + rounding)
    return refuse('over-100', 'shares', `The shares make ${total} % together: something was counted twice.`);
  let cumulative = 0;
  const rows: ParetoRow[] = [...shares]
    .sort(([a, x], [b, y]) => y - x || (a < b ? -1 : 1))
    .map(([name, share]) => ({ name, share, cumulative: (cumulative += share) }));
  const other = 100 - total;
  return other > 1e-9 ? [...rows, { share: other, cumulative: 100 }] : rows;
}

/** The same from counts. @param total of all, where not every one has a name; else their sum */
export function paretoOfCounts(
  counts: ReadonlyMap<string, number>,
  total = [...counts.values()].reduce((sum, count) => sum + count, 0),
): Answer<readonly ParetoRow[]> {
  if (!(total > 0) || !Number.isSafeInteger(total))
    return refuse('not-a-count', 'total', `The total is ${total}; it is a whole number above 0.`);
  return pareto(new Map([...counts].map(([name, count]) => [name, (100 * count) / total])));
}
