import { isMap, isScalar, isSeq } from 'yaml';
import type { Node } from 'yaml';
import { catalogue } from '../../events/catalogue.js';
import type { EventType } from '../../events/catalogue.js';
import { explain } from '../../events/explain.js';
import { faultSentence, type FaultCode as EventFaultCode } from '../../events/faults.js';
import { asSent, eventTypes, fieldsOf, isEventType } from '../eventFields.js';
import type { EventPattern } from '../model.js';
import { entriesOf, itemsOf, mapping, mismatch, near, oneOrMore, optional, required, text } from './decode.js';
import type { Decoder } from './decode.js';
import { quoted, someOf } from './diagnostic.js';
import type { FaultCode } from './diagnostic.js';
import { packCaps } from './source.js';
import { quantity } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/** A type of the event catalogue. */
export const eventType: Decoder<EventType> = (spot) => {
  const value = text(spot);
  if (value === undefined || isEventType(value)) return value;
  return fault(spot, 'unknown-event', `${quoted(value)} is not an event type.`, near(value, eventTypes));
};

/** A field of an event's data by its dotted name. */
function field(spot: Spot, type: EventType, name: string, at = spot.shown) {
  const known = fieldsOf(type);
  const found = known.find((each) => each.name === name);
  if (found !== undefined) return found;
  const names = known.map((each) => each.name);
  return fault(spot, 'unknown-field', `${quoted(name)} is not in the data of ${type}, which has ${names.join(', ')}.`, {
    ...near(name, names),
    at,
  });
}

const scalar: Decoder<string | number | boolean> = (spot) => {
  const value = isScalar(spot.node) ? spot.node.value : undefined;
  return typeof value === 'string' ||
    typeof value === 'boolean' ||
    (typeof value === 'number' && Number.isFinite(value))
    ? value
    : mismatch(spot, 'a text, a number, true or false');
};

const present: Decoder<true> = () => true;

/** Which events count: a type, with given values, having given fields. */
export const eventPattern: Decoder<EventPattern> = (spot) => {
  const got = mapping(spot, { event: required(eventType), with: optional(present), has: optional(oneOrMore(text)) });
  const type = got?.values.event;
  if (got === undefined || type === undefined) return undefined;
  const values = got.has('with') ? withValues(got.at('with'), type) : {};
  const has = (got.values.has ?? []).map((name) => field(got.at('has'), type, name));
  if (got.whole === undefined || values === undefined || has.includes(undefined)) return undefined;
  return { event: type, with: values, has: got.whole.has ?? [] };
};

function withValues(spot: Spot, type: EventType): EventPattern['with'] | undefined {
  const entries = entriesOf(spot);
  if (entries === undefined) return undefined;
  let whole = true;
  const values = entries.map(({ key, keyNode, value }) => {
    const known = field(value, type, key, keyNode);
    const wanted = oneOrMore(inWords(known?.words))(value);
    if (known === undefined || wanted === undefined) whole = false;
    return [key, wanted ?? []] as const;
  });
  return whole ? Object.fromEntries(values) : undefined;
}

function inWords(words: readonly string[] | undefined): Decoder<string | number | boolean> {
  return (spot) => {
    const value = scalar(spot);
    if (value === undefined || words === undefined || words.includes(String(value))) return value;
    return fault(
      spot,
      'word-not-allowed',
      `${spot.name} is never ${quoted(String(value))}; it is ${someOf(words)}.`,
      near(String(value), words),
    );
  };
}

/** Hold the data of a test event against the catalogue, faults shown at their fields; `data` are the entries but `at`. */
export function checkData(spot: Spot, type: EventType, data: Readonly<Record<string, unknown>>): void {
  const { schema } = catalogue[type];
  const value = asSent(type, data);
  const found = explain(schema, value, schema.safeParse(value).error?.issues ?? [], []);
  // Each is looked for from the top of the event: of a thousand wrong fields the first say enough.
  for (const each of found.slice(0, packCaps.faultsAPlace)) {
    const { at, key } = follow(spot, each.pointer);
    // A text that is meant as a quantity is told as one.
    if (each.message.startsWith('must be a quantity') && isScalar(at.node) && quantity(at) === undefined) continue;
    const code = codes[each.code] ?? 'event-wrong';
    const name = each.pointer.slice(1).replaceAll('/', '.');
    const sentence = `In ${type}, ${faultSentence(each, 'the data').replace(each.pointer, name)}`;
    fault(at, code, sentence, {
      ...(code === 'unknown-field' ? { at: key } : {}),
      ...(each.nearest === undefined ? {} : { alreadyNamed: each.nearest }),
    });
  }
}

/** Faults of events that packs have a code of their own for. */
const codes: { readonly [code in EventFaultCode]?: FaultCode } = {
  'unknown-field': 'unknown-field',
  unit: 'unknown-unit',
};

/** The spot that a JSON Pointer leads to, as far as the file has it, and the node of its key. */
function follow(spot: Spot, pointer: string): { at: Spot; key: Node | null } {
  let at = spot;
  let key: Node | null = null;
  for (const part of pointer.split('/').slice(1)) {
    const name = part.replaceAll('~1', '/').replaceAll('~0', '~');
    const entry = isMap(at.node) ? entriesOf(at)?.find((each) => each.key === name) : undefined;
    const next = entry?.value ?? (isSeq(at.node) ? itemsOf(at)?.[Number(name)] : undefined);
    if (next === undefined) break;
    key = entry?.keyNode ?? null;
    at = next;
  }
  return { at, key };
}
