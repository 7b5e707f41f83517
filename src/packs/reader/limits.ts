import { isMap, isScalar } from 'yaml';
import { atMost } from '../../events/units.js';
import type { FactDefinition } from '../facts.js';
import { severities } from '../model.js';
import type { Bound, Citation, Limit, Quantity, Selector, Severity } from '../model.js';
import { entriesOf, mapping, number, optional, required, word } from './decode.js';
import type { Decoder } from './decode.js';
import { placedFields } from './references.js';
import type { References } from './references.js';
import { sameDimension } from './units.js';
import { deprecated, warnDeprecated } from './deprecated.js';
import { range, targetOf } from './ranges.js';
import { citation, fact, id, period, quantityOf, selector } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

const any: Selector = {};
const present: Decoder<true> = () => true;

/** Words that people look for, and what to write. */
const hints = {
  table: 'A table is a chart, under charts; a side names it: min: { chart: NAME }.',
  unit: 'The unit stands with the number: max: 80 [degF].',
  value: 'The number stands at its side, with its unit: max: 80 [degF].',
};

const shape = {
  id: required(id),
  of: required(fact),
  for: optional(selector),
  // Read once it is known which fact they bound.
  min: optional(present),
  max: optional(present),
  range: optional(present),
  target: optional(present),
  role: optional(word(['fallback', 'alternative'])),
  severity: required(word(severities)),
  citation: optional(citation),
};

/** One layer's word on a named quantity. `source` is the pack's own citation, for limits without one. */
export function limit(references: References, source: Citation | undefined): Decoder<Limit> {
  return (spot) => {
    const got = mapping(
      spot,
      { ...shape, deprecated: optional(deprecated((at, by) => references.limit(at, by))) },
      hints,
    );
    if (got === undefined) return undefined;
    const { id: name, of, severity } = got.values;
    if (got.values.deprecated !== undefined) warnDeprecated(got.at('deprecated'), spot.name, got.values.deprecated);
    const defined = name === undefined ? undefined : references.define('limit', got.at('id'), name, of);
    const cited = cite(
      got.has('citation') ? got.at('citation') : spot,
      got.values.citation,
      source,
      got.has('citation'),
    );
    if (severity !== undefined) lawNeedsText(got.at('severity'), severity, cited);
    if (!got.has('min') && !got.has('max') && !got.has('range'))
      fault(spot, 'missing-field', `${spot.name} needs min, max or range.`);
    for (const side of ['min', 'max'] as const)
      if (got.has('range') && got.has(side))
        fault(got.at(side), 'limit-wrong', `${spot.name} says its range already; leave ${side} out.`);
    if (of === undefined) return undefined;
    if (of.unit === 'd' && got.has('min'))
      fault(got.at('min'), 'limit-wrong', `${of.name} is an age: only a max of it is judged.`);

    const both = got.has('range') ? range(got.at('range'), of, references) : undefined;
    const min = got.has('min') ? bound(got.at('min'), of, references) : both?.min;
    const max = got.has('max') ? bound(got.at('max'), of, references) : both?.max;
    for (const [side, one] of [['min', min] as const, ['max', max] as const])
      if (one?.kind === 'quantity') sound(got.at(both === undefined ? side : 'range'), one.quantity, of);
    if (min?.kind === 'quantity' && max?.kind === 'quantity' && !atMost(min.quantity.canonical, max.quantity.canonical))
      fault(got.at(both === undefined ? 'max' : 'range'), 'bad-range', `${spot.name}: max is below min.`);
    const sides = [min, max].filter((side) => side !== undefined);
    if (got.has('role') && sides.length > 0 && !sides.some(({ kind }) => kind === 'chart'))
      fault(
        got.at('role'),
        'limit-wrong',
        `${spot.name}: a role says how a chart stands to the maker's sheet, and no side of it is a chart.`,
      );
    const target = got.has('target') ? targetOf(of)(got.at('target')) : undefined;
    if (target !== undefined && !atMost(target.min.canonical, target.max.canonical))
      fault(got.at('target'), 'bad-range', `${spot.name}: the target's max is below its min.`);
    if (got.whole === undefined || cited === undefined) return undefined;
    const value: Limit = {
      id: got.whole.id,
      of: of.name,
      for: got.whole.for ?? any,
      ...(min === undefined ? {} : { min }),
      ...(max === undefined ? {} : { max }),
      ...(target === undefined ? {} : { target }),
      ...(got.whole.role === undefined ? {} : { role: got.whole.role }),
      severity: got.whole.severity,
      citation: cited,
      ...(got.whole.deprecated === undefined ? {} : { deprecated: got.whole.deprecated }),
    };
    if (defined !== undefined)
      defined.rung = { value, ...placedFields(spot, got, ['of', 'for', 'min', 'max', 'range']) };
    return value;
  };
}

/** In canonical units; some thirty years in seconds. */
const farthest = 1e9;

/** A number that nothing measured comes near is a slip of the pen. */
function sound(spot: Spot, { canonical }: Quantity, of: FactDefinition): void {
  if (Math.abs(canonical) > farthest) fault(spot, 'bad-range', `${spot.name}: no ${of.name} is as large as that.`);
  else if (of.unit === 's' && canonical < 0) fault(spot, 'bad-range', `${spot.name}: a time is not below 0.`);
}

/** A quantity, a period, a look-up in a chart, or a multiple of another fact. */
function bound(spot: Spot, of: FactDefinition, references: References): Bound | undefined {
  const keys = isMap(spot.node) ? (entriesOf(spot) ?? []).map((entry) => entry.key) : [];
  if (keys.includes('chart')) {
    const got = mapping(spot, { chart: required(id), plus: optional(quantityOf(of, 'span')) });
    if (got?.values.chart !== undefined) references.chart(got.at('chart'), got.values.chart, of);
    return got?.whole === undefined
      ? undefined
      : { kind: 'chart', chart: got.whole.chart, ...(got.whole.plus === undefined ? {} : { plus: got.whole.plus }) };
  }
  if (keys.includes('fact')) {
    const got = mapping(spot, { fact: required(fact), times: optional(number) });
    if (got?.whole === undefined) return undefined;
    const other = got.whole.fact;
    if (other.kind !== of.kind || (of.unit !== other.unit && !sameDimension(other.unit ?? '', of.unit ?? '')))
      return fault(got.at('fact'), 'unit-mismatch', `${other.name} is not in the unit of ${of.name}.`);
    if (other.name === of.name)
      return fault(got.at('fact'), 'limit-wrong', `${of.name} would be held against itself: name another fact.`);
    const { times = 1 } = got.whole;
    if (times <= 0 || times > farthest)
      return fault(got.at('times'), 'bad-range', `${spot.name}: times is above 0 and at most ${farthest}.`);
    return { kind: 'fact', fact: other.name, times };
  }
  // Ages are bounded by the calendar, not by a number of seconds.
  const isPeriod = of.unit === 'd' || (isScalar(spot.node) && /^\s*\d+\s+(mo|wk)\s*$/.test(String(spot.node.value)));
  if (!isPeriod) {
    const quantity = quantityOf(of)(spot);
    return quantity === undefined ? undefined : { kind: 'quantity', quantity };
  }
  if (of.unit !== 'd')
    return fault(spot, 'unit-mismatch', `${of.name} is not an age in days; a calendar period does not bound it.`);
  const read = period(spot);
  return read === undefined ? undefined : { kind: 'period', period: read };
}

/** The citation of a part, or the pack's. One of them must be there, unless its own was faulty already. */
export function cite(
  spot: Spot,
  own: Citation | undefined,
  source: Citation | undefined,
  hasOwn: boolean,
): Citation | undefined {
  if (own !== undefined || hasOwn) return own;
  return source ?? fault(spot, 'missing-field', `${spot.name} needs a citation, its own or the pack's.`);
}

/** Only a source that was read as text can carry the severity law. */
export function lawNeedsText(spot: Spot, severity: Severity, cited: Citation | undefined): void {
  if (severity === 'law' && cited !== undefined && cited.read !== 'text')
    fault(spot, 'law-needs-text', `The severity law needs a source read as text; this one was read as ${cited.read}.`);
}
