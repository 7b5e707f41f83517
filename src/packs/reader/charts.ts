import { isScalar } from 'yaml';
import { atMost } from '../../events/units.js';
import type { FactDefinition } from '../facts.js';
import type { Chart, Citation } from '../model.js';
import { itemsOf, list, mapping, number, optional, required, text } from './decode.js';
import type { Decoder } from './decode.js';
import { cite } from './limits.js';
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
  gives: required(fact),
  for: optional(selector),
  units: optional((spot) => mapping(spot, { by: optional(unitText), gives: optional(unitText) })),
  rows: required(present),
  doubtful: optional(list(number)),
  citation: optional(citation),
};

/** A table from one fact to another, rows ascending by key. */
export function chart(references: References, source: Citation | undefined): Decoder<Chart> {
  return (spot) => {
    const got = mapping(spot, shape);
    if (got === undefined) return undefined;
    const { id: name, answers, by, gives, units } = got.values;
    if (name !== undefined) references.define('chart', got.at('id'), name, gives);
    if (answers !== undefined) references.limit(got.at('answers'), answers, gives);
    const cited = cite(spot, got.values.citation, source, got.has('citation'));
    if (by === undefined || gives === undefined || !got.has('rows')) return undefined;

    const at = got.has('units') ? got.at('units') : spot;
    const byUnit = columnUnit(units?.has('by') ? units.at('by') : at, by, units?.values.by);
    const givesUnit = columnUnit(units?.has('gives') ? units.at('gives') : at, gives, units?.values.gives);
    const read = rows(got.at('rows'));
    if (byUnit === undefined || givesUnit === undefined || read === undefined) return undefined;
    if (got.whole === undefined || cited === undefined) return undefined;
    return {
      id: got.whole.id,
      title: got.whole.title,
      answers: got.whole.answers,
      by: by.name,
      gives: gives.name,
      for: got.whole.for ?? {},
      units: { by: units?.values.by ?? '1', gives: units?.values.gives ?? '1' },
      rows: read.map(([key, value]) => ({ key: byUnit(key), value: givesUnit(value) })),
      doubtful: (got.whole.doubtful ?? []).map(byUnit),
      citation: cited,
    };
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

function rows(spot: Spot): readonly (readonly [number, number])[] | undefined {
  const items = itemsOf(spot, (index) => `row ${index + 1}`);
  if (items === undefined) return undefined;
  if (items.length === 0) return fault(spot, 'missing-field', 'A chart needs at least one row.');
  let whole = true;
  let last: number | undefined;
  const pairs = items.map((item) => {
    const pair = itemsOf(item, (index) => (index === 0 ? 'key' : 'value'))?.map(number);
    const [key, value] = pair ?? [];
    if (pair !== undefined && pair.length !== 2)
      fault(item, 'wrong-type', `A row is a key and a value, such as [68, 5]; this one has ${pair.length} of them.`);
    if (key === undefined || value === undefined || pair?.length !== 2) {
      whole = false;
      return [0, 0] as const;
    }
    if (last !== undefined && atMost(key, last)) {
      whole = false;
      const keySpot = itemsOf(item)?.[0] ?? item;
      fault(
        keySpot,
        'rows-not-ascending',
        `The key ${written(keySpot, key)} does not rise above the row before it, ${last}.`,
      );
    }
    last = Math.max(last ?? key, key);
    return [key, value] as const;
  });
  return whole ? pairs : undefined;
}

const written = (spot: Spot, value: number) => (isScalar(spot.node) ? (spot.node.source ?? value) : value);
