/**
 * The one catalogue of what the API answers when it cannot do what was asked: RFC 9457 problem details,
 * `application/problem+json`. `code` is stable and is what a program should look at; `type` is the address of its
 * explanation in the documentation this server carries.
 */

/** One fault of the request. `pointer` is a JSON pointer (RFC 6901) into the body, or the name of a query parameter. */
export interface ProblemFault {
  readonly pointer: string;
  readonly code: string;
  readonly message: string;
  readonly allowed?: readonly (string | number | boolean)[];
  readonly nearest?: string;
}

interface Entry {
  readonly status: number;
  readonly title: string;
  /** What to do about it, for the documentation. */
  readonly help: string;
}

const entries = {
  'invalid-json': {
    status: 400,
    title: 'The body is not JSON',
    help: 'The body must be JSON in UTF-8. `detail` says where reading stopped.',
  },
  'invalid-yaml': {
    status: 400,
    title: 'The body is not a text',
    help: 'A pack is YAML (or JSON) in UTF-8.',
  },
  'too-deep': {
    status: 400,
    title: 'The JSON is nested too deeply',
    help: 'No event needs more than a handful of levels; the cap is 64.',
  },
  'incomplete-body': {
    status: 400,
    title: 'The body ended early',
    help: 'The connection closed, or fewer bytes came than Content-Length announced. Send it again: nothing was stored.',
  },
  'bad-request': {
    status: 400,
    title: 'The request cannot be read',
    help: 'The address or a header is malformed; for example, a percent sign that escapes nothing.',
  },
  'invalid-query': {
    status: 400,
    title: 'A query parameter cannot be used',
    help: 'Each fault names the parameter, what it may be and, for an unknown one, the nearest that exists.',
  },
  'invalid-cursor': {
    status: 400,
    title: 'The cursor is not one of ours',
    help: 'Cursors are opaque: send back `next` exactly as it came, with the same filters.',
  },
  unauthorised: {
    status: 401,
    title: 'No valid key',
    help: 'Send `Authorization: Bearer <key>`. The first key is printed once when the server first starts, or set by STEPWEDGE_ADMIN_KEY.',
  },
  forbidden: {
    status: 403,
    title: 'The key may not do this',
    help: 'The answer names the scope, site or sender that the key lacks. Somebody with an `admin` key can make another.',
  },
  'not-found': {
    status: 404,
    title: 'Nothing is there',
    help: 'For an address that is not part of the API, `nearest` names the most similar one that is.',
  },
  'unknown-site': {
    status: 404,
    title: 'No such site',
    help: 'A site begins to exist with its configuration: PUT /v1/sites/{id}, or a `site.configured` event.',
  },
  'unknown-measure': {
    status: 404,
    title: 'No such measure',
    help: 'docs/api.md lists the measures; a line or unit has one once there is a reading of it.',
  },
  'unknown-finding': { status: 404, title: 'No such finding', help: 'GET /v1/findings lists those there are.' },
  'unknown-pack': { status: 404, title: 'No such pack', help: 'GET /v1/packs lists those there are.' },
  'unknown-key': { status: 404, title: 'No such key', help: 'GET /v1/keys lists those there are.' },
  'method-not-allowed': {
    status: 405,
    title: 'The method does not fit this address',
    help: 'The `Allow` header lists those that do.',
  },
  'not-acceptable': {
    status: 406,
    title: 'Not available in that form',
    help: 'The answer lists the media types that are.',
  },
  'request-timeout': {
    status: 408,
    title: 'The request took too long to arrive',
    help: 'A request has two minutes to arrive whole. Send smaller batches over a slow line; what was accepted before does no harm.',
  },
  'id-conflict': {
    status: 409,
    title: 'The same source and id came before with other content',
    help: 'An event is never edited. To correct one, send `event.retracted` for it and a new event with a new id.',
  },
  conflict: {
    status: 409,
    title: 'Not possible as things stand',
    help: 'For example, resolving a finding that is already closed. `detail` says what stands in the way.',
  },
  'changed-meanwhile': {
    status: 412,
    title: 'Somebody was there before',
    help: 'The newest text is not the one that `If-Match` names. Get it, bring your change into it, and send that.',
  },
  'trial-outdated': {
    status: 412,
    title: 'The trial was of something else',
    help: 'A trial speaks of one text beside the packs of its moment. One of them has changed since: try it again.',
  },
  'over-budget': {
    status: 409,
    title: 'More new cards than people can look at',
    help: 'Its trial made more than three new cards a week at some office, and more than before. Make it rarer, or publish it with `confirm=over-budget`.',
  },
  'body-too-large': {
    status: 413,
    title: 'The body is too large',
    help: 'The cap is 8 MiB unless STEPWEDGE_BODY_LIMIT says otherwise. Send smaller batches.',
  },
  'batch-too-large': {
    status: 413,
    title: 'Too many events in one batch',
    help: 'At most 1,000 events in one request. Nothing of the batch was stored.',
  },
  'event-too-large': {
    status: 413,
    title: 'The event is too large',
    help: 'One event may take 64 KiB of JSON. In a batch, only that event is refused.',
  },
  'too-many-events': {
    status: 413,
    title: 'Too many events for one trial',
    help: 'At most 200,000 events in one request. Name fewer sites, begin later, or run `stepwedge packs what-if` on the server.',
  },
  'unsupported-media-type': {
    status: 415,
    title: 'The body is of a kind that is not read here',
    help: 'The answer lists the accepted media types. Bodies are UTF-8 and not compressed.',
  },
  'invalid-event': {
    status: 422,
    title: 'The event is not as the catalogue describes it',
    help: 'Each fault points at the field. Nothing of this event was stored; the others of its batch were not affected.',
  },
  'invalid-body': {
    status: 422,
    title: 'The body is JSON, but not what is expected here',
    help: 'Each fault points at the field and says what it may be.',
  },
  'pack-faults': {
    status: 422,
    title: 'The pack has faults',
    help: '`diagnostics` lists all of them, each with its place in the text. Nothing was stored.',
  },
  'pack-tests-failed': {
    status: 422,
    title: 'The pack fails tests of its own',
    help: '`failed` lists them, with what was expected and what came. Nothing was stored.',
  },
  'name-what-you-saw': {
    status: 428,
    title: 'Say which text you have seen',
    help: 'There is a text of that id already. Send its `ETag` as `If-Match`, so that nobody’s work is lost unseen.',
  },
  'trial-first': {
    status: 428,
    title: 'Try it out first',
    help: 'Packs are published here after their trial was seen: send the text to /v1/what-if, read what it would change, and publish it with the `trial` of the answer.',
  },
  'headers-too-large': {
    status: 431,
    title: 'The headers are too large',
    help: 'All headers together may have 16 KiB. In binary mode, attributes travel in headers; the data belongs in the body.',
  },
  'rate-limited': {
    status: 429,
    title: 'Too many requests',
    help: 'Wait for the seconds in `Retry-After`. Many events travel cheaper in one batch.',
  },
  'too-many-waiting': {
    status: 429,
    title: 'Too many of your events are waiting',
    help: 'Events come faster than they can be stored. Nothing of this request was stored: send it again after the seconds in `Retry-After`.',
  },
  internal: {
    status: 500,
    title: 'Something went wrong here',
    help: 'A fault of the server. It is in the log under the `id` of the answer. A write may be sent again: duplicates do no harm.',
  },
  overloaded: {
    status: 503,
    title: 'The server has all it can hold',
    help: 'Too much of all callers together is in progress. Nothing of this request was stored: send it again after the seconds in `Retry-After`.',
  },
  unavailable: {
    status: 503,
    title: 'Not available just now',
    help: 'The database does not answer, or the server is stopping. Send the request again later.',
  },
  'storage-full': {
    status: 507,
    title: 'No room left to store anything',
    help: 'The disk of the database is full, or nearly so: nothing was stored, nothing that was stored before is harmed. Reading goes on. Make room, then send the request again.',
  },
} as const satisfies Record<string, Entry>;

export type ProblemCode = keyof typeof entries;
export const problemCatalogue: Readonly<Record<ProblemCode, Entry>> = entries;
export const problemCodes = Object.keys(entries) as ProblemCode[];

/** The JSON of a problem. Extension members (`scope`, `nearest`, `accepted` …) stand beside the standard ones. */
export interface ProblemBody {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly code: ProblemCode;
  readonly detail?: string;
  readonly errors?: readonly ProblemFault[];
  readonly [extension: string]: unknown;
}

export interface ProblemExtra {
  readonly errors?: readonly ProblemFault[];
  readonly headers?: Readonly<Record<string, string>>;
  /** Extension members of the body. */
  readonly also?: Readonly<Record<string, unknown>>;
}

export function problemBody(code: ProblemCode, detail?: string, extra: ProblemExtra = {}): ProblemBody {
  const { status, title } = problemCatalogue[code];
  return {
    type: `/docs/errors#${code}`,
    title,
    status,
    code,
    ...(detail === undefined ? {} : { detail }),
    ...(extra.errors === undefined || extra.errors.length === 0 ? {} : { errors: extra.errors }),
    ...extra.also,
  };
}

/** Thrown by a handler; the error handler of the app writes it. */
export class Problem extends Error {
  readonly code: ProblemCode;
  readonly extra: ProblemExtra;
  constructor(code: ProblemCode, detail?: string, extra: ProblemExtra = {}) {
    super(detail ?? problemCatalogue[code].title);
    this.name = 'Problem';
    this.code = code;
    this.extra = extra;
    this.detail = detail;
  }
  readonly detail: string | undefined;

  get status(): number {
    return problemCatalogue[this.code].status;
  }

  body(): ProblemBody {
    return problemBody(this.code, this.detail, this.extra);
  }
}
