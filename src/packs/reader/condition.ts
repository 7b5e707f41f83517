import { isMap, isSeq } from 'yaml';
import { nearest } from '../../events/nearest.js';
import type { FactDefinition } from '../facts.js';
import { operatorNames } from '../model.js';
import type { Condition, Leaf, Operand, OperatorName } from '../model.js';
import { entriesOf, flag, list, mapping, mismatch, near, number, required, text } from './decode.js';
import type { Decoder } from './decode.js';
import { oneOf, quoted } from './diagnostic.js';
import type { References } from './references.js';
import { sameDimension } from './units.js';
import { fact, id, quantityOf } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

const ordered: readonly OperatorName[] = ['lessThan', 'lessThanInclusive', 'greaterThan', 'greaterThanInclusive'];
const byLimit: readonly OperatorName[] = ['below', 'above', 'outside'];
const byList: readonly OperatorName[] = ['in', 'notIn'];
const byText: readonly OperatorName[] = ['contains', 'doesNotContain'];

/** A json-rules-engine tree over the fact catalogue; names of limits are noted in `references`. */
export function condition(references: References): Decoder<Condition> {
  const tree: Decoder<Condition> = (spot) => {
    const keys = entriesOf(spot)?.map((entry) => entry.key);
    if (keys === undefined) return undefined;
    if (keys.includes('all')) return group(mapping(spot, { all: required(several) })?.whole);
    if (keys.includes('any')) return group(mapping(spot, { any: required(several) })?.whole);
    if (keys.includes('not')) return group(mapping(spot, { not: required(tree) })?.whole);
    const first = keys[0];
    if (keys.length === 1 && first !== undefined && !['fact', 'operator', 'value'].includes(first)) {
      const close = nearest(first, ['all', 'any', 'not']);
      const message = `${quoted(first)} does not begin a condition: it is all, any, not, or a leaf of fact, operator and value.`;
      return fault(spot, 'unknown-field', message, {
        at: entriesOf(spot)?.[0]?.keyNode ?? null,
        ...(close === undefined ? {} : { nearest: close }),
      });
    }
    return leaf(spot, references);
  };
  const several: Decoder<readonly Condition[]> = (spot) => {
    const items = list(tree)(spot);
    return items?.length === 0 ? fault(spot, 'missing-field', `${spot.name} holds no condition.`) : items;
  };
  return tree;
}

/** `mapping` gives exactly one of the three, so the union is regained by name. */
function group(whole: { all: readonly Condition[] } | { any: readonly Condition[] } | { not: Condition } | undefined) {
  return whole;
}

function leaf(spot: Spot, references: References): Leaf | undefined {
  // The value is read once fact and operator are known.
  const got = mapping(spot, { fact: required(fact), operator: required(operator), value: required(present) });
  const { fact: of, operator: op } = got?.values ?? {};
  if (got === undefined || of === undefined || op === undefined || !got.has('value')) return undefined;
  const at = got.at('value');
  if (!suits(got.at('operator'), op, of)) return undefined;
  const value = byLimit.includes(op)
    ? ladder(at, of, op, references)
    : byList.includes(op)
      ? several(at, of)
      : comparable(at, of);
  return value === undefined || got.whole === undefined ? undefined : { fact: of.name, operator: op, value };
}

const present: Decoder<true> = () => true;

const operator: Decoder<OperatorName> = (spot) => {
  const value = text(spot);
  if (value === undefined) return undefined;
  const found = operatorNames.find((name) => name === value);
  return (
    found ??
    fault(
      spot,
      'unknown-operator',
      `${quoted(value)} is not an operator; there are ${oneOf(operatorNames)}.`,
      near(value, operatorNames),
    )
  );
};

/** Whether the operator can compare such a fact at all. */
function suits(spot: Spot, op: OperatorName, of: FactDefinition): boolean {
  const numeric = of.kind === 'quantity' || of.kind === 'count';
  const wrong =
    ((ordered.includes(op) || byLimit.includes(op)) && !numeric) || (byText.includes(op) && of.kind !== 'text');
  if (wrong) fault(spot, 'operator-mismatch', `${op} does not compare ${of.name}, which is a ${of.kind}.`);
  return !wrong;
}

function ladder(spot: Spot, of: FactDefinition, op: OperatorName, references: References): Operand | undefined {
  if (!isMap(spot.node))
    return fault(spot, 'operator-mismatch', `${op} compares ${of.name} with a limit only: { limit: NAME }.`);
  const limit = mapping(spot, { limit: required(id) });
  if (limit?.whole === undefined) return undefined;
  if (of.unit === 'd')
    return fault(spot, 'operator-mismatch', `${of.name} is an age, which a duty judges: every: { limit: NAME }.`);
  references.judged(limit.at('limit'), limit.whole.limit, of, op);
  return { limit: limit.whole.limit };
}

/** A literal, or another fact of the same dimension. */
function comparable(spot: Spot, of: FactDefinition): Operand | undefined {
  const keys = isMap(spot.node) ? (entriesOf(spot) ?? []).map((entry) => entry.key) : [];
  if (keys.includes('limit'))
    return fault(spot, 'operator-mismatch', `Only ${oneOf(byLimit)} compare a fact with a limit.`);
  if (!keys.includes('fact')) return literal(of)(spot);
  const other = mapping(spot, { fact: required(fact) })?.whole?.fact;
  if (other === undefined) return undefined;
  if (other.kind !== of.kind) {
    return fault(spot, 'operator-mismatch', `${other.name} is a ${other.kind}; ${of.name} is a ${of.kind}.`);
  }
  if (of.unit !== undefined && other.unit !== of.unit && !sameDimension(other.unit ?? '', of.unit))
    return fault(spot, 'unit-mismatch', `${other.name} is in ${other.unit}; ${of.name} is in ${of.unit}.`);
  return { fact: other.name };
}

/** A list of literals, for `in` and `notIn`. */
function several(spot: Spot, of: FactDefinition): Operand | undefined {
  const values = list(literal(of))(spot);
  if (values?.length === 0) return fault(spot, 'missing-field', 'The list of values is empty.');
  // Flags have two values; a list of them says nothing.
  const words = values?.filter((value) => typeof value !== 'boolean');
  return words !== undefined && words.length === values?.length
    ? words
    : values && fault(spot, 'operator-mismatch', `${of.name} is true or false; use equal.`);
}

/** A literal of the fact's kind, as the number or word that the fact itself would have. */
function literal(of: FactDefinition): Decoder<string | number | boolean> {
  return (spot) => {
    if (isSeq(spot.node)) return mismatch(spot, 'one value (lists go with in and notIn)');
    if (of.kind === 'quantity') return quantityOf(of)(spot)?.canonical;
    if (of.kind === 'count') return number(spot);
    if (of.kind === 'flag') return flag(spot);
    const value = text(spot);
    if (value === undefined || of.words === undefined || of.words.includes(value)) return value;
    return fault(
      spot,
      'word-not-allowed',
      `${of.name} is never ${quoted(value)}; it is ${oneOf(of.words)}.`,
      near(value, of.words),
    );
  };
}
