import type { FactDefinition } from '../facts.js';
import { lookups } from '../model.js';
import type { Chart, ChartGap, Citation } from '../model.js';
import { doubtfulKeys, gaps, rows } from './chart-rows.js';
import { mapping, optional, required, text, word } from './decode.js';
import type { Decoder } from './decode.js';
import { cite } from './limits.js';
import { placedFields } from './references.js';
import type { References } from './references.js';
import { inUnitOf, sameDimension } from './units.js';
import { citation, fact, id, selector, unitText } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

const present: Decoder<true> = () => true;
const shape = {
  id: required(id),
  title: required(text),
  answers: required(id),
  by: required(fact),
  and: optional(fact),
  gives: required(fact),
  lookup: optional(word(lookups)),
  for: optional(selector),
  units: optional((spot) =>
    mapping(spot, { by: optional(unitText), and: optional(unitText), gives: optional(unitText) }),
  ),
  rows: required(present),
  doubtful: optional(present),
  gaps: optional(present),
  citation: optional(citation),
};

/** A table from one fact, or two, to another. */
export function chart(references: References, source: Citation | undefined): Decoder<Chart> {
  return (spot) => {
    const got = mapping(spot, shape);
    if (got === undefined) return undefined;
    const { id: name, answers, by, and, gives, units, lookup = 'step' } = got.values;
    const defined = name === undefined ? undefined : references.define('chart', got.at('id'), name, gives);
    if (answers !== undefined) references.limit(got.at('answers'), answers, gives);
    const cited = cite(spot, got.values.citation, source, got.has('citation'));
    if (and !== undefined && and === by) fault(got.at('and'), 'chart-wrong', `${spot.name} is by ${and.name} already.`);
    if (got.has('gaps') && lookup === 'exact')
      fault(got.at('gaps'), 'chart-wrong', `${spot.name} answers at its rows only; between them all is gap.`);
    if (by === undefined || gives === undefined || !got.has('rows')) return undefined;
    if (got.has('and') && and === undefined) return undefined;

    const at = got.has('units') ? got.at('units') : spot;
    const unit = (column: 'by' | 'and' | 'gives', of: FactDefinition) =>
      columnUnit(units?.has(column) ? units.at(column) : at, of, units?.values[column]);
    const byUnit = unit('by', by);
    const andUnit = and === undefined ? undefined : unit('and', and);
    const givesUnit = unit('gives', gives);
    if (and === undefined && units?.has('and'))
      fault(units.at('and'), 'chart-wrong', `${spot.name} is by one fact; it has no second unit.`);
    const isCell = and !== undefined;
    const read = rows(got.at('rows'), isCell);
    const doubtful = got.has('doubtful') ? doubtfulKeys(got.at('doubtful'), isCell) : [];
    const apart = got.has('gaps') ? gaps(got.at('gaps'), isCell, read) : [];
    if (byUnit === undefined || givesUnit === undefined || (isCell && andUnit === undefined)) return undefined;
    if (read === undefined || doubtful === undefined || apart === undefined) return undefined;
    if (got.whole === undefined || cited === undefined) return undefined;
    const second = andUnit ?? byUnit;
    const cells = doubtful.flatMap((each) =>
      typeof each === 'number' ? [] : [[byUnit(each[0]), second(each[1])] as const],
    );
    const inUnits = ({ of, from, to }: ChartGap): ChartGap => {
      const inUnit = of === 'by' ? byUnit : second;
      return { of, from: inUnit(from), to: inUnit(to) };
    };
    const value: Chart = {
      id: got.whole.id,
      title: got.whole.title,
      answers: got.whole.answers,
      by: by.name,
      ...(and === undefined ? {} : { and: and.name }),
      gives: gives.name,
      ...(got.values.lookup === undefined ? {} : { lookup }),
      for: got.whole.for ?? {},
      units: {
        by: units?.values.by ?? '1',
        ...(and === undefined ? {} : { and: units?.values.and ?? '1' }),
        gives: units?.values.gives ?? '1',
      },
      rows: read.map(({ key, and: other, value }) => ({
        key: byUnit(key),
        ...(other === undefined ? {} : { and: second(other) }),
        value: givesUnit(value),
      })),
      doubtful: doubtful.flatMap((each) => (typeof each === 'number' ? [byUnit(each)] : [])),
      ...(cells.length === 0 ? {} : { doubtfulCells: cells }),
      ...(apart.length === 0 ? {} : { gaps: apart.map(inUnits) }),
      citation: cited,
    };
    if (defined !== undefined) defined.table = { value, ...placedFields(spot, got, ['by', 'and', 'gives', 'answers']) };
    return value;
  };
}

/** How a number of a column becomes one in the fact's unit. */
function columnUnit(spot: Spot, of: FactDefinition, unit: string | undefined): ((value: number) => number) | undefined {
  if (of.kind === 'count') return (value) => value;
  const own = of.unit;
  if (own === undefined) return fault(spot, 'unit-mismatch', `${of.name} is a ${of.kind}, not a quantity.`);
  if (unit === undefined) return fault(spot, 'missing-field', `A chart of ${of.name} needs its unit under units.`);
  if (!sameDimension(unit, own))
    return fault(spot, 'unit-mismatch', `${unit} does not measure ${of.name}, which is in ${own}.`);
  return (value) => inUnitOf(own, { value, unit }, 'reading');
}
