import { atMost, same } from '../events/units.js';
import type { Chart, ChartGap, Lookup } from './model.js';

/**
 * Look a value up in a chart. Outside its rows, within a gap and where the copy read is doubtful there is no answer.
 * With the lookup `step` the row of the smaller key answers between two (of a time-temperature chart the colder row,
 * whose time is longer); with `linear` the straight line between them, where both are sound; with `exact` nothing does.
 *
 * @param key in the canonical unit of `chart.by`
 * @param and in that of `chart.and`, which a chart of two facts needs
 * @returns in the canonical unit of `chart.gives`, or undefined
 */
export function lookUp(chart: Chart, key: number, and?: number): number | undefined {
  const columns = columnsOf(chart);
  const { lookup = 'step', gaps = [] } = chart;
  if (chart.and === undefined) return along(columns, key, lookup, gaps, 'by', ({ value }) => value);
  if (and === undefined) return undefined;
  return along(columns, key, lookup, gaps, 'by', ({ cells }) =>
    along(cells, and, lookup, gaps, 'and', ({ value }) => value),
  );
}

interface Cell {
  readonly key: number;
  /** Absent where the copy is doubtful. */
  value?: number | undefined;
}
/** All rows of one first key; of a chart of one fact `value` is the row's. */
interface Column extends Cell {
  readonly cells: Cell[];
}

const known = new WeakMap<Chart, readonly Column[]>();

/** Rows and doubtful keys as ascending columns; a doubtful key stands among the others, without a value. */
function columnsOf(chart: Chart): readonly Column[] {
  let columns = known.get(chart);
  if (columns === undefined) known.set(chart, (columns = build(chart)));
  return columns;
}

function build({ rows, doubtful, doubtfulCells = [] }: Chart): readonly Column[] {
  const blank = [...doubtful.map((key) => ({ key })), ...doubtfulCells.map(([key, and]) => ({ key, and }))];
  const entries: { key: number; and?: number; value?: number }[] = [...rows, ...blank];
  // A doubtful key comes after the row of the same key, and so takes its place.
  entries.sort(
    (a, b) => a.key - b.key || (a.and ?? -Infinity) - (b.and ?? -Infinity) || (a.value === undefined ? 1 : -1),
  );
  const columns: Column[] = [];
  for (const { key, and, value } of entries) {
    const column = lastAt(columns, key, (): Column => ({ key, cells: [] }));
    if (and === undefined) column.value = value;
    else lastAt(column.cells, and, (): Cell => ({ key: and })).value = value;
  }
  for (const each of doubtful) for (const column of columns) if (same(column.key, each)) column.cells.length = 0;
  return columns;
}

/** The last of an ascending list, if it has this key; else a new one behind it. */
function lastAt<T extends Cell>(list: T[], key: number, make: () => T): T {
  const last = list.at(-1);
  if (last !== undefined && same(last.key, key)) return last;
  const made = make();
  list.push(made);
  return made;
}

/** Index of the last of ascending keys that is at most `key`; -1 when all are above it. */
function lastAtMost(keys: readonly Cell[], key: number): number {
  let [low, high] = [0, keys.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (atMost(keys[middle]?.key ?? Infinity, key)) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** The answer along one key. */
function along<T extends Cell>(
  keys: readonly T[],
  key: number,
  lookup: Lookup,
  gaps: readonly ChartGap[],
  of: ChartGap['of'],
  answer: (at: T) => number | undefined,
): number | undefined {
  if (Number.isNaN(key)) return undefined;
  const index = lastAtMost(keys, key);
  const lower = keys[index];
  const upper = keys[index + 1];
  if (lower === undefined) return undefined;
  if (same(lower.key, key)) return answer(lower);
  if (upper === undefined || lookup === 'exact') return undefined;
  if (gaps.some((gap) => gap.of === of && !atMost(upper.key, gap.from) && !atMost(gap.to, lower.key))) return undefined;
  const low = answer(lower);
  if (lookup === 'step' || low === undefined) return low;
  const high = answer(upper);
  return high === undefined ? undefined : low + (high - low) * ((key - lower.key) / (upper.key - lower.key));
}
