import { isMap, isScalar, Scalar } from 'yaml';
import type { FactDefinition } from '../facts.js';
import type { Bound, Limit, Quantity } from '../model.js';
import { entriesOf, mapping, required } from './decode.js';
import type { Decoder } from './decode.js';
import { quoted } from './diagnostic.js';
import type { References } from './references.js';
import { id, quantityOf } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

interface Ends {
  readonly min: Quantity;
  readonly max: Quantity;
}

/** `60 to 80 [degF]`, or `2 to 4` of what is counted: the unit stands once. Undefined when it is written otherwise. */
function fromTo(spot: Spot, of: FactDefinition): Partial<Ends> | undefined {
  const value = isScalar(spot.node) ? spot.node.value : undefined;
  const [, low, high, unit] =
    (typeof value === 'string' && value.length <= 100 ? /^\s*(\S+)\s+to\s+(\S+)(?:\s+(\S+))?\s*$/.exec(value) : null) ??
    [];
  if (low === undefined || high === undefined) return undefined;
  const end = (number: string) => {
    const written = unit === undefined ? Number(number) : `${number} ${unit}`;
    if (Number.isNaN(written))
      return fault(spot, 'bad-quantity', `${quoted(number)} is not a number, in ${quoted(String(value))}.`);
    const node = new Scalar(written);
    node.source = String(written);
    return quantityOf(of)({ ...spot, node });
  };
  const [min, max] = [end(low), end(high)];
  return { ...(min === undefined ? {} : { min }), ...(max === undefined ? {} : { max }) };
}

const example = (of: FactDefinition) =>
  of.kind === 'count' || of.unit === '1' ? '2 to 4' : `60 to 80 ${of.unit === 'Cel' ? '[degF]' : (of.unit ?? '1')}`;

/** Both sides at once: `60 to 80 [degF]`, or `{ chart: NAME, within: 30 s }` on either side of what the chart gives. */
export function range(
  spot: Spot,
  of: FactDefinition,
  references: References,
): { readonly min?: Bound; readonly max?: Bound } | undefined {
  if (of.unit === 'd') return fault(spot, 'limit-wrong', `${of.name} is an age: only a max of it is judged.`);
  if (isMap(spot.node) && (entriesOf(spot) ?? []).some(({ key }) => key === 'chart')) {
    const got = mapping(spot, { chart: required(id), within: required(quantityOf(of, 'span')) });
    if (got?.values.chart !== undefined) references.chart(got.at('chart'), got.values.chart, of);
    if (got?.whole === undefined) return undefined;
    const { chart, within } = got.whole;
    if (within.canonical < 0) return fault(got.at('within'), 'bad-range', `${spot.name}: within is below 0.`);
    const less = { ...within, value: -within.value, canonical: -within.canonical };
    return { min: { kind: 'chart', chart, plus: less }, max: { kind: 'chart', chart, plus: within } };
  }
  const ends = fromTo(spot, of);
  if (ends === undefined)
    return fault(
      spot,
      'wrong-type',
      `${spot.name} takes both ends, such as ${example(of)}, or { chart: NAME, within: QUANTITY }.`,
    );
  if (ends.min === undefined || ends.max === undefined) return undefined;
  return { min: { kind: 'quantity', quantity: ends.min }, max: { kind: 'quantity', quantity: ends.max } };
}

/** What is aimed at: `68 to 70 [degF]`, or `{ min, max }`. */
export function targetOf(of: FactDefinition): Decoder<NonNullable<Limit['target']>> {
  return (spot) => {
    const ends = fromTo(spot, of);
    if (ends === undefined)
      return mapping(spot, { min: required(quantityOf(of)), max: required(quantityOf(of)) })?.whole;
    return ends.min === undefined || ends.max === undefined ? undefined : { min: ends.min, max: ends.max };
  };
}
