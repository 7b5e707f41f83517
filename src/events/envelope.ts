import { eventTypes, isEventType } from './catalogue.js';
import type { EventType } from './catalogue.js';
import { shown } from './faults.js';
import type { Fault, FaultCode } from './faults.js';
import { identityIn } from './identity.js';
import { readInstant } from './instant.js';
import { nearest } from './nearest.js';
import { idPattern, printable } from './parts.js';

/** The context attributes of a CloudEvent: https://github.com/cloudevents/spec/blob/v1.0.2/cloudevents/spec.md */
export interface Envelope {
  readonly source: string;
  readonly id: string;
  readonly type: EventType;
  readonly at: number;
  readonly site: string;
  readonly subject: string | undefined;
}

const known = [
  'specversion',
  'id',
  'source',
  'type',
  'time',
  'site',
  'subject',
  'datacontenttype',
  'dataschema',
  'data',
  'data_base64',
];
const knownNames = new Set(known);
const attributeName = /^[a-z0-9]{1,64}$/;
const json = /^(?:application|text)\/(?:json|[\w.-]+\+json)[ \t]*(?:;|$)/i;

/** Reads the attributes; what is wrong is added to `faults`, and then the answer is not to be used. */
export function readEnvelope(
  event: Record<string, unknown>,
  now: number,
  aheadLimit: number,
  faults: Fault[],
): Partial<Envelope> {
  const before = faults.length;
  const fault = (code: FaultCode, name: string, message: string, rest: Partial<Fault> = {}) =>
    void faults.push({ code, pointer: `/${name}`, message, ...rest });

  const text = (name: string, hint: string): string | undefined => {
    const value = event[name];
    // The JSON format lets a sender write an attribute that is not set as null.
    if (value === undefined || value === null) fault('missing', name, `is required: ${hint}${misspelt(event, name)}`);
    else if (typeof value !== 'string') fault('wrong-type', name, 'must be text');
    else return value;
    return undefined;
  };

  const specversion = text('specversion', 'the CloudEvents version, "1.0"');
  if (specversion !== undefined && specversion !== '1.0')
    fault('not-allowed', 'specversion', 'must be "1.0"', { allowed: ['1.0'] });
  const id = text('id', 'unique within its source, 1 to 256 printable ASCII characters');
  if (id !== undefined && !printable.test(id)) fault('format', 'id', 'must be 1 to 256 printable ASCII characters');
  const source = text('source', 'the sender, 1 to 256 printable ASCII characters');
  if (source !== undefined && !printable.test(source))
    fault('format', 'source', 'must be 1 to 256 printable ASCII characters');

  const type = text('type', 'one of the event types');
  if (type !== undefined && !isEventType(type)) {
    const meant = nearest(type, eventTypes);
    const hint = meant ? `; did you mean "${meant}"?` : '';
    fault('unknown-type', 'type', `is "${shown(type)}", which is not an event type${hint}`, {
      allowed: eventTypes,
      ...(meant ? { nearest: meant } : {}),
    });
  }

  const time = text('time', 'when it happened, such as 2026-03-11T12:30:00-05:00');
  const at = time === undefined ? undefined : readInstant(time);
  if (at === 'format')
    fault('format', 'time', 'must be a date and time of RFC 3339, such as 2026-03-11T12:30:00-05:00');
  else if (at === 'offset')
    fault(
      'time-without-offset',
      'time',
      'must end with its offset from UTC, such as -05:00 or Z: without it nobody can tell when it was',
    );
  else if (at !== undefined && at < 0) fault('time-too-old', 'time', 'is before 1970');
  else if (at !== undefined && at > now + aheadLimit)
    fault(
      'time-ahead',
      'time',
      `is more than ${Math.round(aheadLimit / 60_000)} minutes in the future; check the clock and the offset`,
    );

  const site = text('site', 'the extension attribute that names the office');
  if (site !== undefined && !idPattern.test(site))
    fault('format', 'site', 'must be 1 to 64 characters out of A-Z a-z 0-9 . _ : -');

  const subject = event.subject ?? undefined;
  if (subject !== undefined) {
    if (typeof subject !== 'string') fault('wrong-type', 'subject', 'must be text');
    else if (subject.length === 0 || subject.length > 256)
      fault('length', 'subject', 'must be 1 to 256 characters long');
    else {
      const hit = identityIn(subject);
      if (hit) fault('identity', 'subject', `looks like a patient's ${hit.kind}, and patient identity is never taken`);
    }
  }
  const media = event.datacontenttype ?? undefined;
  if (media !== undefined && (typeof media !== 'string' || !json.test(media)))
    fault('media-type', 'datacontenttype', 'must be application/json: the data of an event is a JSON object');

  for (const name in event) {
    if (knownNames.has(name) || attributeName.test(name)) continue;
    const meant = nearest(name.replace(/[^A-Za-z0-9]/g, ''), known);
    faults.push({
      code: 'unknown-attribute',
      pointer: `/${shown(name, 64).replaceAll('~', '~0').replaceAll('/', '~1')}`,
      message: `cannot be an attribute: names are lower-case letters and digits, and fields of the event belong in "data"${meant ? `; did you mean "${meant}"?` : ''}`,
      ...(meant ? { nearest: meant } : {}),
    });
  }
  // A known type is worth having even then: its data can be looked at as well, so that one answer names all faults.
  if (faults.length > before) return type !== undefined && isEventType(type) ? { type } : {};
  return { source, id, type, at, site, subject } as Envelope;
}

/** Extensions are tolerated, so a misspelt attribute shows only as one that is missing: say which it probably was. */
function misspelt(event: Record<string, unknown>, name: string): string {
  const others = Object.keys(event).filter((other) => !knownNames.has(other));
  const meant =
    nearest(name, others) ?? others.find((other) => other.length <= 40 && other.toLowerCase().startsWith(name));
  return meant === undefined ? '' : `; you sent "${shown(meant)}"`;
}
