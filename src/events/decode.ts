import { hash } from 'node:crypto';
import { canonicalJson } from '../canonical-json.js';
import { canonicalData } from './canonical.js';
import { catalogue } from './catalogue.js';
import type { EventType, SentData } from './catalogue.js';
import { readEnvelope } from './envelope.js';
import type { AnyEvent, LedgerEvent } from './event.js';
import { explain } from './explain.js';
import { faultLimit } from './faults.js';
import type { Fault } from './faults.js';
import { guard, limits, tooLarge } from './guard.js';
import { printable } from './parts.js';

export interface DecodeOptions {
  /** The instant of receipt, ms. */
  readonly now: number;
  /** Keyed hash of a patient token; the token itself goes no further than this call (law L32). */
  readonly hashPatient: (token: string) => string;
  /** How far ahead of `now` an event may lie, ms; default 10 minutes, for clocks that are a little off. */
  readonly aheadLimit?: number;
  /** Bytes of the event's JSON, where the caller knows them. */
  readonly size?: number;
}

export interface Accepted {
  readonly ok: true;
  readonly event: AnyEvent;
  /** Data as it was sent, units and all, with `patient` replaced by its hash: what the ledger stores. */
  readonly sent: SentData[EventType];
  /** SHA-256 (hex) of what the event says, the same however it was written down: decides duplicates (law L3). */
  readonly hash: string;
}
export interface Refused {
  readonly ok: false;
  readonly source?: string;
  readonly id?: string;
  /** Everything wrong with it, at most `faultLimit`. */
  readonly faults: readonly Fault[];
}
export type Decoded = Accepted | Refused;

const tenMinutes = 600_000;

/** One CloudEvent, as parsed JSON, into an event of the ledger; or all that is wrong with it. Never throws. */
export function decode(event: unknown, options: DecodeOptions): Decoded {
  if (typeof event !== 'object' || event === null || Array.isArray(event)) {
    return refused([{ code: 'not-an-event', pointer: '', message: 'must be a JSON object' }]);
  }
  const attributes = event as Record<string, unknown>;
  const faults = options.size !== undefined && options.size > limits.size ? [tooLarge] : guard(attributes);
  if (faults.length > 0 && (faults[0]?.code === 'too-deep' || faults[0]?.code === 'too-large'))
    return refused(faults, attributes);

  const envelope = readEnvelope(attributes, options.now, options.aheadLimit ?? tenMinutes, faults);
  const sent = readData(attributes, envelope.type, faults);
  if (faults.length > 0) return refused(faults, attributes);

  const { source, id, type, at, site, subject } = envelope as Required<typeof envelope>;
  if (type === 'film.exposed' && typeof sent.patient === 'string') sent.patient = options.hashPatient(sent.patient);
  const data = sent as SentData[typeof type];
  const ledgerEvent: LedgerEvent = {
    at,
    rank: catalogue[type].rank,
    source,
    id,
    type,
    site,
    ...(subject === undefined ? {} : { subject }),
    data: canonicalData(type, data),
  };
  return { ok: true, event: ledgerEvent as AnyEvent, sent: data, hash: contentHash({ site, type, at, subject, data }) };
}

/** SHA-256 (hex) of what an event says; `data` as it was sent. */
export function contentHash(event: {
  readonly site: string;
  readonly type: string;
  readonly at: number;
  readonly subject?: string | undefined;
  readonly data: unknown;
}): string {
  const { site, type, at, subject, data } = event;
  return hash('sha256', canonicalJson({ site, type, time: at, subject, data }), 'hex');
}

function readData(
  attributes: Record<string, unknown>,
  type: EventType | undefined,
  faults: Fault[],
): Record<string, unknown> {
  const data = attributes.data ?? undefined;
  if (data === undefined) {
    const binary = attributes.data_base64 !== undefined;
    const message = binary
      ? 'is required as JSON; "data_base64" is not read'
      : 'is required: an object with what happened';
    faults.push({ code: 'missing', pointer: '/data', message });
  } else if (typeof data !== 'object' || Array.isArray(data)) {
    faults.push({ code: 'wrong-type', pointer: '/data', message: 'must be an object' });
  } else if (type !== undefined) {
    const { schema } = catalogue[type];
    const read = schema.safeParse(data);
    if (read.success) return read.data as Record<string, unknown>;
    const told = new Set(faults.map((fault) => fault.pointer));
    faults.push(...explain(schema, data, read.error.issues, ['data']).filter((fault) => !told.has(fault.pointer)));
  }
  return {};
}

function refused(faults: readonly Fault[], attributes: Record<string, unknown> = {}): Refused {
  const name = (value: unknown) => (typeof value === 'string' && printable.test(value) ? value : undefined);
  const source = name(attributes.source);
  const id = name(attributes.id);
  return {
    ok: false,
    ...(source === undefined ? {} : { source }),
    ...(id === undefined ? {} : { id }),
    faults: faults.slice(0, faultLimit),
  };
}
