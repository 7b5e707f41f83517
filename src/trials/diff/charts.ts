import { fromCanonical, toCanonical } from '../../events/units.js';
import { facts } from '../../packs/facts.js';
import type { Chart, ChartGap, Pack } from '../../packs/model.js';
import { changedCells, type Cell } from './cells.js';
import type { Change } from './change.js';
import { fieldChanges, sides, type FieldChange, type Weights } from './fields.js';
import { selectorChange } from './selectors.js';
import { asked, listStrictness, type Strictness } from './strictness.js';
import { greatest } from './version.js';

const weights: Weights = { title: 'patch', citation: 'patch', units: 'patch' };

/** What a chart is to those who are judged by it, as far as its own pack shows. */
interface Use {
  /** The side of a limit that it gives; undefined when it gives both or another pack's. */
  readonly side?: 'min' | 'max' | undefined;
  /** It can take the place of another bound, or be met in its stead: then a new answer may be a milder one. */
  readonly isInstead: boolean;
}

/** Charts that are new, gone or changed, row by row: what each key looked up before and looks up now. */
export function chartChanges(before: Pack, after: Pack): Change[] {
  const old = new Map(before.charts.map((chart) => [chart.id, chart]));
  const now = new Map(after.charts.map((chart) => [chart.id, chart]));
  const added = after.layer === 'maker' ? 'major' : 'minor';
  const whole = (id: string, change: 'added' | 'removed'): Change => ({
    ...{ part: 'chart', id, change, fields: [] },
    asks: change === 'added' ? added : 'major',
  });
  return [
    ...[...old.keys()].filter((id) => !now.has(id)).map((id) => whole(id, 'removed')),
    ...[...now.values()].flatMap((chart): Change[] => {
      const known = old.get(chart.id);
      if (known === undefined) return [whole(chart.id, 'added')];
      const fields = changesOf(known, chart, useOf([before, after], chart.id));
      if (fields.length === 0) return [];
      const asks = greatest(fields.map((field) => field.asks));
      return [{ part: 'chart', id: chart.id, change: 'changed', fields, asks }];
    }),
  ];
}

function useOf(packs: readonly Pack[], chart: string): Use {
  const uses = (side: 'min' | 'max') =>
    packs
      .flatMap(({ limits }) => limits)
      .filter(({ [side]: bound }) => bound?.kind === 'chart' && bound.chart === chart);
  const [min, max] = [uses('min'), uses('max')];
  const isInstead =
    packs.some(({ layer }) => layer === 'maker') || [...min, ...max].some(({ role }) => role !== undefined);
  const side = min.length > 0 === max.length > 0 ? undefined : min.length > 0 ? 'min' : 'max';
  return { side, isInstead };
}

function changesOf(before: Chart, after: Chart, use: Use): FieldChange[] {
  // Looked up by other facts, or giving another, its rows stand for other things.
  const isOther = (['by', 'and', 'gives'] as const).some((field) => before[field] !== after[field]);
  return [
    ...(isOther ? [] : rowChanges(before, after, use)),
    ...(isOther ? [] : gapChanges(before, after, use)),
    ...selectorChange(before.for, after.for, !use.isInstead),
    ...fieldChanges(withLookup(before), withLookup(after), weights, [
      'rows',
      'doubtful',
      'doubtfulCells',
      'gaps',
      'for',
    ]),
  ];
}

/** The lookup that none stands for is said by its name. */
const withLookup = (chart: Chart): Chart => ({ ...chart, lookup: chart.lookup ?? 'step' });

function rowChanges(before: Chart, after: Chart, use: Use): FieldChange[] {
  const { atKeys, between } = changedCells(before, after);
  const tell = (cell: Cell): FieldChange => {
    const strictness = strictnessOf(cell, use);
    const said = sides(sayValue(after, cell.before), sayValue(after, cell.after));
    return { field: `at ${sayPlace(after, cell)}`, ...said, strictness, asks: asked(strictness) };
  };
  const rows = atKeys.map(tell);
  if (rows.some(({ asks }) => asks === 'major')) return rows;
  // Between its keys a chart is told only where they do not show that it asks for less.
  return [...rows, ...between.map(tell).filter(({ asks }) => asks === 'major')];
}

/** A place that has an answer no longer holds nobody to anything. */
function strictnessOf({ before, after }: Cell, { side, isInstead }: Use): Strictness {
  if (after === undefined) return isInstead ? 'differs' : 'looser';
  if (before === undefined) return isInstead ? 'differs' : 'tighter';
  if (side === undefined) return 'differs';
  return after > before === (side === 'min') ? 'tighter' : 'looser';
}

function gapChanges(before: Chart, after: Chart, { isInstead }: Use): FieldChange[] {
  const went = listStrictness(before.gaps ?? [], after.gaps ?? [], 'looser');
  if (went === undefined) return [];
  const strictness = went === 'tighter' && isInstead ? 'differs' : went;
  return [{ field: 'gaps', ...sides(sayGaps(before), sayGaps(after)), strictness, asks: asked(strictness) }];
}

const sayGaps = (chart: Chart) =>
  chart.gaps === undefined || chart.gaps.length === 0
    ? undefined
    : chart.gaps.map(({ of, from, to }) => `${sayKey(chart, of, from)} to ${sayKey(chart, of, to)}`).join(', ');

const sayPlace = (chart: Chart, { key, and }: Cell) =>
  and === undefined ? sayKey(chart, 'by', key) : `${sayKey(chart, 'by', key)}, ${sayKey(chart, 'and', and)}`;

const sayKey = (chart: Chart, of: ChartGap['of'], key: number) =>
  sayNumber(chart[of] ?? '', key, chart.units[of] ?? '1');

const sayValue = (chart: Chart, value: number | undefined) =>
  value === undefined ? 'no answer' : sayNumber(chart.gives, value, chart.units.gives);

/** A number of a chart in the unit it is written in; nine digits take the binary fractions away. */
function sayNumber(fact: string, held: number, unit: string): string {
  const known = facts.get(fact);
  if (known?.kind === 'count' || unit === '1') return String(held);
  return `${Number(writtenIn(unit, held, known?.unit ?? unit).toPrecision(9))} ${unit}`;
}

/** Charts hold numbers in the units of their facts: days stay days, and a difference of temperatures has no zero. */
function writtenIn(unit: string, held: number, own: string): number {
  if (own === unit) return held;
  if (own === 'K') return held / (toCanonical(1, unit) - toCanonical(0, unit));
  return fromCanonical(toCanonical(held, own), unit);
}
