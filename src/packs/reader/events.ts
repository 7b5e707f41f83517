import type { EventPattern } from '../model.js';
import { eventTypes, fieldsOf } from '../eventFields.js';
import type { Node } from 'yaml';
import { entriesOf, fault, mapping, mismatch, near, oneOrMore, optional, required, text } from './decode.js';
import type { Decoder, Spot } from './decode.js';
import { quoted } from './diagnostic.js';
import { isScalar } from 'yaml';

/** A type of the event catalogue. */
export const eventType: Decoder<string> = (spot) => {
  const value = text(spot);
  if (value === undefined || eventTypes.includes(value)) return value;
  return fault(spot, 'unknown-event', `${quoted(value)} is not an event type.`, near(value, eventTypes));
};

/** Check that names are fields of an event type's data; a dotted name reaches into a part (`developer.time`). */
export function checkFields(type: string, names: readonly { spot: Spot; name: string; at?: Node }[]): boolean {
  let good = true;
  for (const { spot, name, at } of names) {
    const known = fieldsOf(type);
    if (known === undefined || known.includes(name)) continue;
    good = false;
    fault(spot, 'unknown-field', `${quoted(name)} is not in the data of ${type}, which has ${known.join(', ')}.`, {
      ...near(name, known),
      ...(at === undefined ? {} : { at }),
    });
  }
  return good;
}

const value: Decoder<string | number | boolean> = (spot) => {
  const found = isScalar(spot.node) ? spot.node.value : undefined;
  return typeof found === 'string' ||
    typeof found === 'boolean' ||
    (typeof found === 'number' && Number.isFinite(found))
    ? found
    : mismatch(spot, 'a text, a number, true or false');
};

const withValues: Decoder<EventPattern['with']> = (spot) => {
  const entries = entriesOf(spot)?.map(({ key, value: at }) => [key, oneOrMore(value)(at)] as const);
  return entries?.every(
    (entry): entry is readonly [string, readonly (string | number | boolean)[]] => entry[1] !== undefined,
  )
    ? Object.fromEntries(entries)
    : undefined;
};

/** Which events count: a type, with given values, having given fields. */
export const eventPattern: Decoder<EventPattern> = (spot) => {
  const got = mapping(spot, { event: required(eventType), with: optional(withValues), has: optional(oneOrMore(text)) });
  if (got === undefined) return undefined;
  const type = got.values.event;
  if (type !== undefined) {
    const given = got.has('with') ? (entriesOf(got.at('with')) ?? []) : [];
    const names = given.map(({ key, keyNode, value: at }) => ({ spot: at, name: key, at: keyNode }));
    const had = (got.values.has ?? []).map((name) => ({ spot: got.at('has'), name }));
    if (!checkFields(type, [...names, ...had])) return undefined;
  }
  return got.whole === undefined
    ? undefined
    : { event: got.whole.event, with: got.whole.with ?? {}, has: got.whole.has ?? [] };
};
