import { same } from '../../events/units.js';
import { lookUp } from '../../packs/chart.js';
import type { Chart } from '../../packs/model.js';

/** One place of a chart, what was looked up there and what is now: canonical units; no answer is undefined. */
export interface Cell {
  readonly key: number;
  readonly and?: number;
  readonly before?: number | undefined;
  readonly after?: number | undefined;
}

/** Where two texts of a chart answer otherwise, at the keys of either and, apart, halfway between two of them. */
export function changedCells(before: Chart, after: Chart): { atKeys: Cell[]; between: Cell[] } {
  const [atKeys, between]: [Cell[], Cell[]] = [[], []];
  const charts = [before, after];
  const columns = charts.map(columnsOf);
  for (const { at: key, isKey } of probes(columns.flatMap((each) => each.map((column) => column.key)))) {
    const seconds = before.and === undefined ? [undefined] : probes(columns.flatMap((each) => besides(each, key)));
    for (const second of seconds) {
      const and = second?.at;
      const [old, now] = [lookUp(before, key, and), lookUp(after, key, and)];
      if (old === now || (old !== undefined && now !== undefined && same(old, now))) continue;
      (isKey && (second?.isKey ?? true) ? atKeys : between).push({ key, and, before: old, after: now });
    }
  }
  return { atKeys, between };
}

interface Column {
  readonly key: number;
  readonly ands: readonly number[];
}

function columnsOf({ rows, doubtful, doubtfulCells = [] }: Chart): Column[] {
  const columns = new Map<number, number[]>(doubtful.map((key) => [key, []]));
  const pairs = [...rows.map(({ key, and }) => [key, and] as const), ...doubtfulCells];
  for (const [key, and] of pairs) {
    const ands = columns.get(key) ?? [];
    if (and !== undefined) ands.push(and);
    columns.set(key, ands);
  }
  return [...columns].map(([key, ands]) => ({ key, ands })).sort((a, b) => a.key - b.key);
}

/** Second keys of the columns that answer at a first key: its own, or those on either side of it. */
function besides(columns: readonly Column[], key: number): readonly number[] {
  const low = columns.findLast((column) => column.key <= key || same(column.key, key));
  const high = columns.find((column) => column.key >= key || same(column.key, key));
  return [...(low?.ands ?? []), ...(high?.ands ?? [])];
}

/** Ascending, each once, with the places halfway between. */
function probes(all: readonly number[]): { at: number; isKey: boolean }[] {
  const keys = [...all]
    .sort((a, b) => a - b)
    .filter((key, index, list) => index === 0 || !same(key, list[index - 1] ?? NaN));
  return keys.flatMap((key, index) => {
    const next = keys[index + 1];
    const at = { at: key, isKey: true };
    return next === undefined ? [at] : [at, { at: (key + next) / 2, isKey: false }];
  });
}
