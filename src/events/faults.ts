/** What is wrong with an event, one fault a place, in words for the person who writes the sending program. */
export const faultCodes = {
  'not-an-event': 'Not a JSON object',
  missing: 'A required attribute or field is missing',
  'unknown-field': 'No such field',
  'unknown-attribute': 'Not a possible CloudEvents attribute name',
  'unknown-type': 'No such event type',
  'unknown-zone': 'No such time zone',
  'wrong-type': 'Another kind of value is expected',
  'not-allowed': 'Not one of the allowed words',
  unit: 'Not a unit of this dimension',
  'out-of-range': 'Outside what can be meant',
  'not-finite': 'Not a finite number',
  length: 'Too short or too long',
  format: 'Written in another way than asked',
  combination: 'Fields that do not go together',
  repeated: 'Twice in a list',
  identity: 'Looks like the identity of a patient',
  text: 'Characters that cannot be stored',
  'time-without-offset': 'A time without its offset from UTC',
  'time-ahead': 'A time in the future',
  'time-too-old': 'A time before 1970',
  'media-type': 'Data that is not JSON',
  'too-deep': 'Nested too deeply',
  'too-large': 'Larger than an event may be',
} as const;
export type FaultCode = keyof typeof faultCodes;

export interface Fault {
  readonly code: FaultCode;
  /** JSON pointer (RFC 6901) into the event; empty for the event itself. */
  readonly pointer: string;
  readonly message: string;
  /** What is accepted there, when that can be listed. */
  readonly allowed?: readonly string[];
  /** The known name that was probably meant. */
  readonly nearest?: string;
}

/** An event's faults beyond this many are not listed. */
export const faultLimit = 20;

const unprintable = /[\u0000-\u001f\u007f-\u009f\p{Cs}]/gu;

/** A name from outside, safe to repeat in a message or a pointer: short, printable, storable. */
export function shown(name: string, most = 40): string {
  const short = name.length > most ? `${name.slice(0, most)}…` : name;
  return short.replace(unprintable, '\ufffd');
}

/** A fault as a sentence: its message continues its pointer ("/data/line is required"), or begins one of its own. */
export function faultSentence({ pointer, message }: Pick<Fault, 'pointer' | 'message'>, whole = 'The event'): string {
  const text = /^\p{Lu}/u.test(message) ? message : `${pointer === '' ? whole : pointer} ${message}`;
  return /[.?!]$/.test(text) ? text : `${text}.`;
}

/** JSON pointer of a path. */
export function pointerTo(path: readonly PropertyKey[]): string {
  let pointer = '';
  for (const step of path) pointer += `/${shown(String(step), 64).replaceAll('~', '~0').replaceAll('/', '~1')}`;
  return pointer;
}

/** `a, b or c`. */
export function listed(words: readonly string[], most = 12, last: 'or' | 'and' = 'or'): string {
  const first = words.slice(0, most);
  if (words.length > most) return `${first.join(', ')} … (${words.length} in all)`;
  return first.length > 1 ? `${first.slice(0, -1).join(', ')} ${last} ${first.at(-1)}` : (first[0] ?? '');
}
