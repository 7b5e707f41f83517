import { fromCanonical, same } from '../../events/units.js';
import { facts } from '../../packs/facts.js';
import { lookUp } from '../../packs/chart.js';
import type { Chart, Pack } from '../../packs/model.js';
import { fieldChanges, sides, type FieldChange, type Weights } from './fields.js';
import type { Change } from './change.js';
import { asked } from './limits.js';
import type { Strictness } from './strictness.js';
import { greatest } from './version.js';

const weights: Weights = {
  title: 'patch',
  citation: 'patch',
  units: 'patch',
  answers: 'major',
  by: 'major',
  gives: 'major',
};

/** Charts that are new, gone or changed, row by row: what each key looked up before and looks up now. */
export function chartChanges(before: Pack, after: Pack): Change[] {
  const old = new Map(before.charts.map((chart) => [chart.id, chart]));
  const now = new Map(after.charts.map((chart) => [chart.id, chart]));
  const whole = (id: string, change: 'added' | 'removed'): Change => ({
    ...{ part: 'chart', id, change, fields: [] },
    asks: change === 'added' ? 'minor' : 'major',
  });
  return [
    ...[...old.keys()].filter((id) => !now.has(id)).map((id) => whole(id, 'removed')),
    ...[...now.values()].flatMap((chart): Change[] => {
      const known = old.get(chart.id);
      if (known === undefined) return [whole(chart.id, 'added')];
      const fields = [
        ...rowChanges(known, chart, sideOf(after, chart.id)),
        ...fieldChanges(known, chart, weights, ['rows', 'doubtful']),
      ];
      if (fields.length === 0) return [];
      const asks = greatest(fields.map((field) => field.asks));
      return [{ part: 'chart', id: chart.id, change: 'changed', fields, asks }];
    }),
  ];
}

/** Which side of a limit the chart gives; undefined when it gives both or another pack's. */
function sideOf({ limits }: Pack, chart: string): 'min' | 'max' | undefined {
  const uses = (side: 'min' | 'max') =>
    limits.some((limit) => {
      const bound = limit[side];
      return bound?.kind === 'chart' && bound.chart === chart;
    });
  const [min, max] = [uses('min'), uses('max')];
  return min === max ? undefined : min ? 'min' : 'max';
}

function rowChanges(before: Chart, after: Chart, side: 'min' | 'max' | undefined): FieldChange[] {
  const keys = [...before.rows, ...after.rows].map(({ key }) => key).concat(before.doubtful, after.doubtful);
  const distinct = [...keys]
    .sort((a, b) => a - b)
    .filter((key, index, all) => index === 0 || !same(key, all[index - 1] ?? NaN));
  return distinct.flatMap((key): FieldChange[] => {
    const [old, now] = [lookUp(before, key), lookUp(after, key)];
    if (old === now || (old !== undefined && now !== undefined && same(old, now))) return [];
    const strictness = strictnessOf(old, now, side);
    const said = sides(sayValue(after, old), sayValue(after, now));
    return [{ field: `at ${sayNumber(after.by, key, after.units.by)}`, ...said, strictness, asks: asked(strictness) }];
  });
}

/** A key that has an answer no longer holds nobody to anything. */
function strictnessOf(
  before: number | undefined,
  after: number | undefined,
  side: 'min' | 'max' | undefined,
): Strictness {
  if (before === undefined) return 'tighter';
  if (after === undefined) return 'looser';
  if (side === undefined) return 'differs';
  return after > before === (side === 'min') ? 'tighter' : 'looser';
}

const sayValue = (chart: Chart, value: number | undefined) =>
  value === undefined ? 'no answer' : sayNumber(chart.gives, value, chart.units.gives);

/** A canonical number in the unit of the chart; nine digits take the binary fractions away. */
function sayNumber(fact: string, canonical: number, unit: string): string {
  const value = facts.get(fact)?.kind === 'count' ? canonical : Number(fromCanonical(canonical, unit).toPrecision(9));
  return unit === '1' ? String(value) : `${value} ${unit}`;
}
