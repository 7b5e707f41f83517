/**
 * The UCUM codes that events and packs may use, by dimension, and their conversion to the one unit used inside.
 *
 * Each unit is `canonical = (value - zero) * times / over`: a ratio of whole numbers rather than a rounded factor, so
 * that 68 [degF] is 20 Cel and 500 uGy is 0.5 mGy to the last bit. Factors: UCUM specification, tables 3 to 12,
 * https://ucum.org/ucum (the inch is 2.54 cm, the US gallon 231 cubic inches).
 */

interface Unit {
  readonly times: number;
  readonly over: number;
  readonly zero: number;
}
const unit = (times = 1, over = 1, zero = 0): Unit => ({ times, over, zero });

/** By dimension; the first unit of each is the canonical one. */
const table = {
  temperature: { Cel: unit(), '[degF]': unit(5, 9, 32) },
  /** A difference of temperatures: never written in [degF], whose zero would be subtracted. */
  temperatureDifference: { K: unit() },
  time: { s: unit(), ms: unit(1, 1000), min: unit(60), h: unit(3600), d: unit(86_400) },
  length: { mm: unit(), cm: unit(10), m: unit(1000), '[in_i]': unit(254, 10), '[ft_i]': unit(3048, 10) },
  area: { mm2: unit(), cm2: unit(100), m2: unit(1_000_000), '[sin_i]': unit(64_516, 100) },
  volume: {
    mL: unit(),
    L: unit(1000),
    '[foz_us]': unit(295_735_295_625, 10_000_000_000),
    '[qt_us]': unit(946_352_946, 1_000_000),
    '[gal_us]': unit(3_785_411_784, 1_000_000),
  },
  mass: {
    g: unit(),
    kg: unit(1000),
    '[oz_av]': unit(28_349_523_125, 1_000_000_000),
    '[lb_av]': unit(45_359_237, 100_000),
  },
  voltage: { kV: unit() },
  current: { mA: unit() },
  charge: { 'mA.s': unit() },
  kerma: { mGy: unit(), uGy: unit(1, 1000), Gy: unit(1000) },
  exposure: { mR: unit(), R: unit(1000) },
  power: { W: unit() },
  /** Plain numbers: optical densities, ratios, pulses. */
  number: { '1': unit() },
  /** Relative humidity and errors in percent. */
  percent: { '%': unit() },
} as const satisfies Record<string, Record<string, Unit>>;

type Table = typeof table;
export type Dimension = keyof Table;
/** The unit codes of one dimension, or of all. */
export type UnitOf<D extends Dimension = Dimension> = { [K in D]: Extract<keyof Table[K], string> }[D];

export const dimensions = Object.keys(table) as readonly Dimension[];

const byCode = new Map<string, Unit & { readonly dimension: Dimension }>();
const codes = new Map<Dimension, readonly string[]>();
for (const dimension of dimensions) {
  const units: Record<string, Unit> = table[dimension];
  codes.set(dimension, Object.keys(units));
  for (const [code, factors] of Object.entries(units)) byCode.set(code, { ...factors, dimension });
}
// An object lists whole-number keys first; '1' stands alone in its dimension, so the canonical unit stays first.

/** The unit codes of a dimension, the canonical one first. */
export function unitsOf<D extends Dimension>(dimension: D): readonly UnitOf<D>[] {
  return codes.get(dimension) as readonly UnitOf<D>[];
}

/** The unit in which values of a dimension are held inside. */
export function canonicalUnit(dimension: Dimension): string {
  return unitsOf(dimension)[0] as string;
}

/** The dimension a unit code belongs to; undefined when the code is not accepted. UCUM codes are case-sensitive. */
export function dimensionOf(code: string): Dimension | undefined {
  return byCode.get(code)?.dimension;
}

/** A value in the canonical unit of its dimension; undefined when the unit is not accepted. */
export function canonicalOf(value: number, code: string): { value: number; dimension: Dimension } | undefined {
  const known = byCode.get(code);
  return known && { value: convert(value, known), dimension: known.dimension };
}

/** As `canonicalOf` for a code known to be accepted. @throws RangeError when it is not. */
export function toCanonical(value: number, code: string): number {
  const known = byCode.get(code);
  if (!known) throw new RangeError(`"${code}" is not an accepted unit code`);
  return convert(value, known);
}

/** A canonical value written in another unit of the same dimension. @throws RangeError for a unit not accepted. */
export function fromCanonical(value: number, code: string): number {
  const known = byCode.get(code);
  if (!known) throw new RangeError(`"${code}" is not an accepted unit code`);
  return (value * known.over) / known.times + known.zero;
}

// Adding 0 turns -0 into 0, which JSON cannot tell apart.
const convert = (value: number, { times, over, zero }: Unit): number => ((value - zero) * times) / over + 0;

export interface ParsedQuantity {
  readonly value: number;
  readonly unit: string;
  readonly canonical: number;
  readonly dimension: Dimension;
}
const written = /^([+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d{1,3})?) +(\S+)$/;

/** Reads a quantity as packs write it, `76 [degF]`; undefined when the text is not one or the unit is not accepted. */
export function parseQuantity(text: string): ParsedQuantity | undefined {
  const match = text.length <= 64 ? written.exec(text.trim()) : null;
  if (!match) return undefined;
  const value = Number(match[1]);
  const code = match[2] as string;
  const found = Number.isFinite(value) ? canonicalOf(value, code) : undefined;
  return found && { value, unit: code, canonical: found.value, dimension: found.dimension };
}

/** What people write for a unit, and the code that is meant; only ever used to word an error. */
const habits: Readonly<Record<string, string>> = {
  f: '[degF]', '°f': '[degF]', degf: '[degF]', fahrenheit: '[degF]', c: 'Cel', '°c': 'Cel', degc: 'Cel', celsius: 'Cel',
  sec: 's', secs: 's', second: 's', seconds: 's', mins: 'min', minute: 'min', minutes: 'min', hr: 'h', hour: 'h', hours: 'h',
  day: 'd', days: 'd', in: '[in_i]', inch: '[in_i]', inches: '[in_i]', ft: '[ft_i]', feet: '[ft_i]', kvp: 'kV', kv: 'kV', ma: 'mA',
  mas: 'mA.s', gal: '[gal_us]', gallon: '[gal_us]', qt: '[qt_us]', quart: '[qt_us]', oz: '[foz_us]', 'fl oz': '[foz_us]', floz: '[foz_us]',
  l: 'L', ml: 'mL', lb: '[lb_av]', percent: '%', 'sq in': '[sin_i]',
}; // prettier-ignore

/** The accepted code that a person probably meant, among `allowed`. */
export function unitMeant(code: string, allowed: readonly string[]): string | undefined {
  const plain = code.trim().toLowerCase();
  const meant = Object.hasOwn(habits, plain) ? habits[plain] : undefined;
  return allowed.find((known) => known === meant) ?? allowed.find((known) => known.toLowerCase() === plain);
}

/**
 * Comparisons that forgive binary fractions: 0.95 - 0.85 is 0.10, and a limit of 68 [degF] is met by 20 Cel. Values
 * closer than 1e-9 of the larger one (of 1 when both are smaller) are the same.
 */
export function same(a: number, b: number): boolean {
  const apart = Math.abs(a - b);
  // An infinity is the same as itself only: its tolerance would be infinite too.
  return a === b || (apart < Infinity && apart <= 1e-9 * Math.max(1, Math.abs(a), Math.abs(b)));
}
/** a <= b, values within the tolerance counting as equal. */
export function atMost(a: number, b: number): boolean {
  return a <= b || same(a, b);
}
/** a >= b, values within the tolerance counting as equal. */
export function atLeast(a: number, b: number): boolean {
  return a >= b || same(a, b);
}
