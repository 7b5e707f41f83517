import { atMost } from '../events/units.js';
import type { Chart } from './model.js';

/**
 * Look a value up in a chart: the row at the key, or between two rows the row of the smaller key (for a time-temperature
 * chart the colder one, whose time is longer). Outside the rows, and where the copy read is doubtful, there is no answer.
 *
 * @param key in the canonical unit of `chart.by`
 * @returns in the canonical unit of `chart.gives`, or undefined
 */
export function lookUp(chart: Chart, key: number): number | undefined {
  const last = chart.rows.at(-1);
  if (last === undefined || !atMost(key, Math.max(last.key, ...chart.doubtful))) return undefined;
  let row: { key: number; value: number | undefined } | undefined;
  for (const candidate of chart.rows) if (atMost(candidate.key, key)) row = candidate;
  for (const doubtful of chart.doubtful)
    if (atMost(doubtful, key) && (row === undefined || doubtful >= row.key)) row = { key: doubtful, value: undefined };
  return row?.value;
}
