import { isMap, isScalar } from 'yaml';
import { dimensionOf, parseQuantity } from '../../events/units.js';
import { facts as catalogue } from '../facts.js';
import type { FactDefinition } from '../facts.js';
import { readings } from '../model.js';
import type { Citation, Period, Quantity, Selector } from '../model.js';
import { isDate, readTestTime } from '../test-time.js';
import { mapping, near, number, oneOrMore, optional, required, text, word } from './decode.js';
import type { Decoder } from './decode.js';
import { oneOf, quoted } from './diagnostic.js';
import { inUnitOf, sameDimension, unitNear } from './units.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/** `us-wa/processing`, `development-time-min`: lower case, digits, "-", parts joined by "/". */
const idPattern = /^[a-z0-9]+(-[a-z0-9]+)*(\/[a-z0-9]+(-[a-z0-9]+)*)*$/;
export const id: Decoder<string> = (spot) => {
  const value = text(spot);
  if (value === undefined || (idPattern.test(value) && value.length <= 100)) return value;
  return fault(
    spot,
    'bad-name',
    `${quoted(value)} is not an id: lower case letters, digits, "-" and "/" between parts.`,
  );
};

/** A fact of the catalogue, by its dotted name. */
export function factNamed(known: ReadonlyMap<string, FactDefinition>): Decoder<FactDefinition> {
  return (spot) => {
    const name = text(spot);
    if (name === undefined) return undefined;
    const fact = known.get(name);
    if (fact === undefined)
      return fault(
        spot,
        'unknown-fact',
        `${quoted(name)} is not a fact.${/^[\w.]+$/.test(name) ? '' : ' Facts are dotted names, never expressions.'}`,
        near(name, known.keys()),
      );
    return fact.fedBy.length > 0
      ? fact
      : fault(spot, 'not-evaluable-ever', `No event supplies ${name}: a rule on it could never be judged.`);
  };
}
export const fact = factNamed(catalogue);

/** The number and unit of `76 [degF]` or `{ value: 76, unit: '[degF]' }`, not yet held against a fact. */
export const quantity: Decoder<Quantity> = (spot) => {
  const written = quantityText(spot);
  if (written === undefined) return undefined;
  const parsed = parseQuantity(written);
  if (parsed !== undefined) return { value: parsed.value, unit: parsed.unit, canonical: parsed.canonical };
  const [, amount, unit] = /^\s*(\S+)\s+(\S+)\s*$/.exec(written) ?? [];
  if (amount !== undefined && unit !== undefined && dimensionOf(unit) === undefined && Number.isFinite(Number(amount)))
    return fault(
      spot,
      'unknown-unit',
      `${quoted(unit)} is not a known unit.${unit === 'mo' ? ' Calendar months have no fixed length: only limits of age are given in them.' : ''}`,
      unitNear(unit),
    );
  return fault(
    spot,
    'bad-quantity',
    `${quoted(written)} is not a quantity: a number, a space and a unit, such as 76 [degF].`,
  );
};

function quantityText(spot: Spot): string | undefined {
  if (isMap(spot.node)) {
    const got = mapping(spot, { value: required(number), unit: required(unitText) })?.whole;
    return got === undefined ? undefined : `${got.value} ${got.unit}`;
  }
  if (isScalar(spot.node) && typeof spot.node.value === 'string') return spot.node.value;
  const wrote = isScalar(spot.node) && spot.node.value !== null ? quoted(spot.node.source ?? '') : 'that';
  return fault(spot, 'bad-quantity', `${wrote} is not a quantity: a number, a space and a unit, such as 76 [degF].`);
}

/** A unit; `1` may be written without quotes. */
export const unitText: Decoder<string> = (spot) => {
  const source = isScalar(spot.node) && typeof spot.node.value === 'number' ? (spot.node.source ?? '') : text(spot);
  if (source === undefined || dimensionOf(source) !== undefined) return source;
  return fault(spot, 'unknown-unit', `${quoted(source)} is not a known unit.`, unitNear(source));
};

/** A quantity of a fact; `canonical` is the number in the fact's own unit. `span` reads a difference (an allowance). */
export function quantityOf(of: FactDefinition, use: 'reading' | 'span' = 'reading'): Decoder<Quantity> {
  return (spot) => {
    if (of.kind === 'count' || (of.unit === '1' && isScalar(spot.node) && typeof spot.node.value === 'number')) {
      const value = number(spot);
      return value === undefined ? undefined : { value, unit: '1', canonical: value };
    }
    if (of.unit === undefined) return fault(spot, 'unit-mismatch', `${of.name} is a ${of.kind}, not a quantity.`);
    const read = quantity(spot);
    if (read === undefined) return undefined;
    if (!sameDimension(read.unit, of.unit))
      return fault(spot, 'unit-mismatch', `${read.unit} does not measure ${of.name}, which is in ${of.unit}.`);
    return { ...read, canonical: inUnitOf(of.unit, read, use) };
  };
}

const periodUnits = ['mo', 'wk', 'd', 'h', 'min'] as const;
/** `2 mo`, `60 d`, `24 h`. */
export const period: Decoder<Period> = (spot) => {
  const value = isScalar(spot.node) ? String(spot.node.value) : text(spot);
  if (value === undefined) return undefined;
  const [, count, unit] = /^(\d{1,6})\s+([a-z]+)$/i.exec(value.trim()) ?? [];
  const known = periodUnits.find((each) => each === unit);
  if (count !== undefined && known !== undefined && Number(count) > 0) return { count: Number(count), unit: known };
  return fault(
    spot,
    'bad-period',
    `${quoted(value)} is not a period: a whole number above 0, a space and ${oneOf(periodUnits)}.`,
    count !== undefined && unit !== undefined && known === undefined ? near(unit, periodUnits) : {},
  );
};

export const date: Decoder<string> = (spot) => {
  const value = text(spot);
  if (value === undefined || isDate(value)) return value;
  return fault(spot, 'bad-date', `${quoted(value)} is not a date of the calendar, such as 2026-03-08.`);
};

/**
 * A time of a test; see `packs/test-time.ts`. `clock`: whether the test has one for relative times to count from, or
 * this is it.
 */
export const testTime =
  (clock: 'given' | 'none' | 'itself'): Decoder<string> =>
  (spot) => {
    const value = text(spot);
    const time = value === undefined ? undefined : readTestTime(value);
    if (value === undefined || time?.kind === 'fixed' || (time !== undefined && clock === 'given')) return value;
    const fixed = '2026-03-02T08:00 (local) or 2026-03-02T08:00-05:00';
    const message =
      clock === 'itself'
        ? `${quoted(value)} is not a time to begin at, such as ${fixed}.`
        : time === undefined
          ? `${quoted(value)} is not a time, such as ${fixed}; after the test's clock, +2 h or +1 d 8:00.`
          : `${quoted(value)} counts from the test's clock, and this test has none: clock: '2026-03-02T08:00'.`;
    return fault(spot, 'bad-date', message);
  };

const citationShape = {
  text: required(text),
  url: optional<string>((spot) => {
    const value = text(spot);
    return value === undefined || /^https?:\/\/\S+$/.test(value)
      ? value
      : fault(spot, 'bad-name', `${quoted(value)} is not a web address.`);
  }),
  shown: optional(text),
  read: required(word(readings)),
  note: optional(text),
};
export const citation: Decoder<Citation> = (spot) => mapping(spot, citationShape)?.whole;

const words = (name: string) => catalogue.get(name)?.words ?? [];
const selectorShape = {
  method: optional(oneOrMore(word(words('run.method')))),
  chemistry: optional(oneOrMore(word(words('change.kind')))),
  bath: optional(oneOrMore(word(words('bath.name')))),
  product: optional(oneOrMore(text)),
  line: optional(oneOrMore(text)),
};
export const selector: Decoder<Selector> = (spot) => mapping(spot, selectorShape)?.whole;
