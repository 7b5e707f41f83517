import { isMap, isScalar, isSeq } from 'yaml';
import type { Node } from 'yaml';
import { nearest } from '../../events/nearest.js';
import { oneOf, quoted } from './diagnostic.js';
import { packCaps } from './source.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/** Reads one value; undefined means a fault was recorded. */
export type Decoder<T> = (spot: Spot) => T | undefined;

/** A field of a mapping: how it is read, and whether it may be absent. */
export interface Field<T, R extends boolean = boolean> {
  readonly read: Decoder<T>;
  readonly required: R;
}
export const required = <T>(read: Decoder<T>): Field<T, true> => ({ read, required: true });
export const optional = <T>(read: Decoder<T>): Field<T, false> => ({ read, required: false });

type Shape = Readonly<Record<string, Field<unknown>>>;
type Values<S extends Shape> = { [K in keyof S]?: S[K] extends Field<infer T> ? T : never };
type Whole<S extends Shape> = {
  [K in keyof S as S[K] extends Field<unknown, true> ? K : never]: S[K] extends Field<infer T> ? T : never;
} & { [K in keyof S as S[K] extends Field<unknown, true> ? never : K]?: S[K] extends Field<infer T> ? T : never };

/** What was read of a mapping: the values without fault, where each stands, and all of them if none is missing. */
export interface Mapping<S extends Shape> {
  readonly values: Values<S>;
  readonly whole?: Whole<S>;
  /** The spot of a field that is present; else of the mapping itself. */
  at(field: keyof S & string): Spot;
  has(field: keyof S & string): boolean;
}

/**
 * Read a mapping with exactly these fields, collecting every fault in it.
 * @param hints what to write instead of fields that people expect here
 */
export function mapping<S extends Shape>(
  spot: Spot,
  shape: S,
  hints: Readonly<Record<string, string>> = {},
): Mapping<S> | undefined {
  const entries = entriesOf(spot);
  if (entries === undefined) return undefined;
  const spots = new Map<string, Spot>();
  const known = Object.keys(shape);
  const present = new Set(entries.map((entry) => entry.key));
  let whole = true;
  for (const { key, keyNode, value } of entries) {
    if (Object.hasOwn(shape, key)) spots.set(key, value);
    else {
      whole = false;
      if (spot.reading.isFull) break;
      const hint = Object.hasOwn(hints, key) ? ` ${hints[key]}` : '';
      const message = `${quoted(key)} is not a field of ${spot.name}, which has ${oneOf(known)}.${hint}`;
      const free = known.filter((field) => !present.has(field));
      fault(value, 'unknown-field', message, { at: keyNode, ...(hint === '' ? near(key, free) : {}) });
    }
  }
  const values: Record<string, unknown> = {};
  for (const [key, field] of Object.entries(shape)) {
    const found = spots.get(key);
    if (found === undefined || (found.node === null && !field.required)) {
      if (!field.required) continue;
      fault({ ...spot, path: `${spot.path}/${key}` }, 'missing-field', `${spot.name} needs the field ${key}.`);
      whole = false;
    } else if (isEmpty(found.node)) {
      fault(found, 'missing-field', `${spot.name}: ${key} is empty.`);
      whole = false;
    } else {
      const value = field.read({ ...found, name: found.name });
      if (value === undefined) whole = false;
      else values[key] = value;
    }
  }
  return {
    values: values as Values<S>,
    ...(whole ? { whole: values as Whole<S> } : {}),
    at: (field) => spots.get(field) ?? spot,
    has: (field) => spots.has(field),
  };
}

const isEmpty = (node: Node | null) => node === null || (isScalar(node) && node.value === null && node.source === '');

/** The entries of a mapping of any keys, in order. */
export function entriesOf(spot: Spot): { key: string; keyNode: Node; value: Spot }[] | undefined {
  if (!isMap(spot.node)) return mismatch(spot, 'a mapping of fields');
  return spot.node.items.map((pair) => {
    const keyNode = pair.key as Node;
    const key = isScalar(keyNode) ? String(keyNode.value) : '';
    const path = `${spot.path}/${key.replace(/~/g, '~0').replace(/\//g, '~1')}`;
    return { key, keyNode, value: spot.reading.spot(pair.value, keyNode, path, key) };
  });
}

/** Read each item of a list; a faulty item is left out and makes the whole undefined, after all were read. */
export function list<T>(read: Decoder<T>, name: (index: number) => string = () => ''): Decoder<readonly T[]> {
  return (spot) => {
    const spots = itemsOf(spot, name);
    if (spots === undefined) return undefined;
    const values = spots.map(read);
    const good = values.filter((value): value is T & {} => value !== undefined && value !== null);
    return good.length === values.length ? good : undefined;
  };
}

/** The items of a list, each with its spot. */
export function itemsOf(spot: Spot, name: (index: number) => string = () => ''): Spot[] | undefined {
  if (!isSeq(spot.node)) return mismatch(spot, 'a list');
  return spot.node.items.map((item, index) =>
    spot.reading.spot(item, spot.node, `${spot.path}/${index}`, name(index) || `${spot.name} ${index + 1}`),
  );
}

/** One value or a list of them. */
export function oneOrMore<T>(read: Decoder<T>): Decoder<readonly T[]> {
  return (spot) => {
    if (isSeq(spot.node)) {
      const values = list(read, () => spot.name)(spot);
      return values?.length === 0 ? fault(spot, 'missing-field', `${spot.name} is empty.`) : values;
    }
    const value = read(spot);
    return value === undefined ? undefined : [value];
  };
}

/** A text; numbers are not taken for one, since `1.10` would lose its last figure. */
export const text: Decoder<string> = (spot) => {
  if (!isScalar(spot.node) || typeof spot.node.value !== 'string')
    return mismatch(spot, isScalar(spot.node) && spot.node.value !== null ? 'a text (put it in quotes)' : 'a text');
  if (spot.node.value.length > packCaps.text)
    return fault(spot, 'too-large', `${spot.name} is longer than ${packCaps.text} characters.`);
  return spot.node.value.trim() === '' ? fault(spot, 'missing-field', `${spot.name} is empty.`) : spot.node.value;
};

export const flag: Decoder<boolean> = (spot) =>
  isScalar(spot.node) && typeof spot.node.value === 'boolean' ? spot.node.value : mismatch(spot, 'true or false');

export const number: Decoder<number> = (spot) =>
  isScalar(spot.node) && typeof spot.node.value === 'number' && Number.isFinite(spot.node.value)
    ? spot.node.value
    : mismatch(spot, 'a number');

export const count: Decoder<number> = (spot) => {
  const value = number(spot);
  return value === undefined || (Number.isSafeInteger(value) && value >= 0)
    ? value
    : mismatch(spot, 'a whole number from 0 up');
};

/** A word out of a few. */
export function word<const T extends string>(words: readonly T[]): Decoder<T> {
  return (spot) => {
    const value = text(spot);
    if (value === undefined) return undefined;
    const found = words.find((each) => each === value);
    return (
      found ??
      fault(spot, 'unknown-word', `${spot.name} cannot be ${quoted(value)}; it is ${oneOf(words)}.`, near(value, words))
    );
  };
}

/** `{ nearest }` when there is one. */
export function near(value: string, known: Iterable<string>): { nearest?: string } {
  const found = nearest(value, known);
  return found === undefined ? {} : { nearest: found };
}

/** Record that a value is of the wrong kind. */
export function mismatch(spot: Spot, wanted: string): undefined {
  const { node } = spot;
  const got = isMap(node)
    ? 'a mapping'
    : isSeq(node)
      ? 'a list'
      : isScalar(node) && node.value !== null
        ? quoted(node.source ?? String(node.value))
        : 'nothing';
  return fault(spot, 'wrong-type', `${spot.name} takes ${wanted}, not ${got}.`);
}

/** Any plain value as it stands: what tests send and how they set a site up. */
export const plain: Decoder<unknown> = (spot) => {
  if (isMap(spot.node)) {
    const entries = (entriesOf(spot) ?? []).map(({ key, value }) => [key, plain(value)] as const);
    return Object.fromEntries(entries);
  }
  if (isSeq(spot.node)) return (itemsOf(spot) ?? []).map((item) => plain(item));
  return isScalar(spot.node) ? spot.node.value : null;
};
