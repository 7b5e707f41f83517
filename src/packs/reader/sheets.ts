import type { Chart, Pack, Selector } from '../model.js';
import type { Diagnostic } from './diagnostic.js';
import type { PackRead } from './index.js';
import { meanwhile, meets } from './placed.js';

interface Sheet {
  readonly pack: Pack;
  readonly chart: Chart;
  readonly at: Pick<Diagnostic, 'file' | 'line' | 'column' | 'endLine' | 'endColumn' | 'path'>;
}

/** Makers' sheets that answer one limit for one line: the first by its pack's id is used, and the other is told. */
export function twoSheets(reads: readonly PackRead[]): Diagnostic[] {
  // In the order in which the engine looks for one.
  const sheets = reads.flatMap(sheetsOf).sort((a, b) => (a.pack.id < b.pack.id ? -1 : a.pack.id > b.pack.id ? 1 : 0));
  const earlier = new Map<string, Sheet[]>();
  return sheets.flatMap((sheet): Diagnostic[] => {
    const others = earlier.get(sheet.chart.answers) ?? [];
    earlier.set(sheet.chart.answers, [...others, sheet]);
    const used = others.slice(0, mostOthers).find((other) => isBeside(other, sheet));
    if (used === undefined) return [];
    const { answers, id } = sheet.chart;
    const message =
      `The sheet ${used.chart.id} (${used.pack.id}) answers ${answers} for lines that ${id} speaks of, and is used` +
      `${meets(sheet.pack, used.pack) ?? ''} wherever both hold. Say by for, from and to which is for what.`;
    return [{ ...sheet.at, code: 'two-sheets', severity: 'warning', message }];
  });
}

/** Sheets of one limit that a further one is held against. */
const mostOthers = 200;

function sheetsOf({ pack, defined }: PackRead): Sheet[] {
  if (pack?.layer !== 'maker') return [];
  const places = defined.filter(({ kind }) => kind === 'chart');
  return pack.charts.flatMap((chart, index) => {
    const at = places[index]?.at;
    return at === undefined ? [] : [{ pack, chart, at }];
  });
}

function isBeside(one: Sheet, other: Sheet): boolean {
  return (
    one.chart.id !== other.chart.id &&
    meets(one.pack, other.pack) !== undefined &&
    meanwhile(one.pack, other.pack) !== undefined &&
    overlap(one.chart.for, other.chart.for)
  );
}

/** Whether some line is of both. */
function overlap(one: Selector, other: Selector): boolean {
  return (['method', 'chemistry', 'bath', 'product', 'line'] as const).every((field) => {
    const words = other[field];
    return words === undefined || (one[field]?.some((word) => words.includes(word)) ?? true);
  });
}
