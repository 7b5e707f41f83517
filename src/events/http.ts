/**
 * How events travel in an HTTP request: the three modes of the CloudEvents HTTP binding, and plain JSON.
 * https://github.com/cloudevents/spec/blob/v1.0.2/cloudevents/bindings/http-protocol-binding.md
 */
export type HttpHeaders = Readonly<Record<string, string | readonly string[] | undefined>>;

/** `json`: an event object, or a list of them, sent as application/json. */
export type HttpMode = 'structured' | 'batch' | 'binary' | 'json';

export interface HttpFault {
  /** 415: a media type or character set that is not read; 400: a body that is not what its type says. */
  readonly status: 400 | 415;
  readonly code: 'media-type' | 'charset' | 'json' | 'body';
  readonly message: string;
  readonly accepted?: readonly string[];
}

export type HttpEvents =
  | { readonly mode: 'single' | 'batch'; readonly events: readonly unknown[]; readonly fault?: undefined }
  | { readonly fault: HttpFault };

export const mediaTypes = {
  structured: 'application/cloudevents+json',
  batch: 'application/cloudevents-batch+json',
  json: 'application/json',
} as const;
const accepted = [mediaTypes.json, mediaTypes.structured, mediaTypes.batch];

const prefix = 'ce-';
const required = ['ce-specversion', 'ce-id', 'ce-source', 'ce-type'];

/** The mode that the headers tell, before the body is looked at; header names in lower case, as Node gives them. */
export function httpMode(headers: HttpHeaders): HttpMode | HttpFault {
  const header = one(headers['content-type']) ?? '';
  const [type = '', ...parameters] = header.split(';').map((part) => part.trim().toLowerCase());
  for (const parameter of parameters) {
    const charset = /^charset\s*=\s*"?([^"]*)"?$/.exec(parameter)?.[1];
    if (charset !== undefined && !['utf-8', 'utf8', 'us-ascii'].includes(charset)) {
      return { status: 415, code: 'charset', message: 'Bodies are read as UTF-8 only.' };
    }
  }
  // The batch type begins with the name of the single one in some senders' comparisons: it is asked for first.
  if (type === mediaTypes.batch) return 'batch';
  if (type === mediaTypes.structured) return 'structured';
  if (type.startsWith('application/cloudevents')) return unread('This event format is not read.');
  const binary = required.some((name) => headers[name] !== undefined);
  if (binary && (type === mediaTypes.json || type === 'text/json' || /^application\/[\w.-]+\+json$/.test(type)))
    return 'binary';
  if (binary) return unread('With ce- headers the body is the data of the event, as application/json.');
  if (type === mediaTypes.json) return 'json';
  return unread(type === '' ? 'The Content-Type header is missing.' : 'This media type is not read.');
}

const unread = (message: string): HttpFault => ({ status: 415, code: 'media-type', message, accepted });

/**
 * The events of a request, none of them looked into yet.
 *
 * @param body parsed JSON (`undefined` when there is none); what the headers call data in the binary mode.
 */
export function httpEvents(mode: HttpMode, headers: HttpHeaders, body: unknown): HttpEvents {
  const list = Array.isArray(body) ? (body as readonly unknown[]) : undefined;
  switch (mode) {
    case 'binary':
      return { mode: 'single', events: [fromHeaders(headers, body)] };
    case 'structured':
      if (list) return wrong(`A body of ${mediaTypes.structured} is one event; send a list as ${mediaTypes.batch}.`);
      return { mode: 'single', events: [body] };
    case 'batch':
      if (!list)
        return wrong(`A body of ${mediaTypes.batch} is a list of events; send one event as ${mediaTypes.structured}.`);
      return { mode: 'batch', events: list };
    case 'json':
      return list ? { mode: 'batch', events: list } : { mode: 'single', events: [body] };
  }
}

const wrong = (message: string): HttpEvents => ({ fault: { status: 400, code: 'body', message } });

/** As `httpMode` and `httpEvents` together, for a body that is still text. */
export function readHttp(headers: HttpHeaders, body: string | Uint8Array): HttpEvents {
  const mode = httpMode(headers);
  if (typeof mode !== 'string') return { fault: mode };
  let parsed: unknown;
  try {
    const text = typeof body === 'string' ? body : new TextDecoder('utf-8', { fatal: true }).decode(body);
    parsed = text === '' && mode === 'binary' ? undefined : (JSON.parse(text) as unknown);
  } catch {
    return { fault: { status: 400, code: 'json', message: 'The body is not JSON in UTF-8.' } };
  }
  return httpEvents(mode, headers, parsed);
}

/** Binary mode: attributes from the ce- headers, the body as data. */
function fromHeaders(headers: HttpHeaders, body: unknown): Record<string, unknown> {
  const event: Record<string, unknown> = Object.create(null) as Record<string, unknown>;
  for (const name of Object.keys(headers)) {
    const value = one(headers[name]);
    if (name.startsWith(prefix) && value !== undefined) event[name.slice(prefix.length)] = headerValue(value);
  }
  // The binding keeps these two out of the ce- headers: the content type and the body speak for them.
  event.datacontenttype = one(headers['content-type']);
  delete event.data_base64;
  if (body === undefined) delete event.data;
  else event.data = body;
  return event;
}

const one = (value: string | readonly string[] | undefined): string | undefined =>
  typeof value === 'string' || value === undefined ? value : value.join(', ');

/**
 * A header's value as the binding decodes it: quotes taken off, then %XX decoded as UTF-8. What does not decode is left
 * as it came: senders that never heard of the encoding write a bare %.
 */
function headerValue(raw: string): string {
  let value = raw.trim();
  if (value.length >= 2 && value.startsWith('"') && value.endsWith('"'))
    value = value.slice(1, -1).replace(/\\(.)/g, '$1');
  return value.replace(/(?:%[0-9a-fA-F]{2})+/g, (encoded) => {
    try {
      return decodeURIComponent(encoded);
    } catch {
      return encoded;
    }
  });
}
