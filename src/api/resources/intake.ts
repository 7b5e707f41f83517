import { faultSentence } from '../../events/faults.js';
import { httpEvents, httpMode, mediaTypes } from '../../events/http.js';
import type { EventFault, EventResult } from '../../ledger/results.js';
import { outline, parseJson } from '../json.js';
import { exampleEvent, event, eventBatch, intakeAnswer } from '../schemas/events.js';
import { operation, type RawInput } from '../operation.js';
import { permitted, permittedRetractions } from '../permitted.js';
import { repeatedNames } from '../repeated.js';
import { Problem, type ProblemBody, problemBody, type ProblemCode } from '../problems.js';
import type { Read, Services } from '../services.js';

/** Caps of one request, besides the size of its body. */
export const caps = { events: 1000, eventBytes: 64 * 1024 } as const;

const example = { summary: 'A run of four films', value: exampleEvent('film.processed') };
const batchExample = {
  summary: 'A reading and a run',
  value: [exampleEvent('bath.measured'), exampleEvent('film.processed')],
};

export const postEvents = operation({
  id: 'sendEvents',
  method: 'post',
  path: '/v1/events',
  tag: 'Events',
  summary: 'Send one event, or a batch',
  description:
    'CloudEvents 1.0 in the structured, batch or binary mode of its HTTP binding, or the same JSON as application/json. ' +
    'Accepted means committed. One event alone is answered 202, or with its problem; a batch is always answered 200 with a ' +
    'result for each event, and one bad event costs the others nothing. Sending the same event again is answered ' +
    '`duplicate` and does no harm, so a request whose answer was lost is simply repeated. In binary mode the attributes ' +
    'are the headers ce-specversion, ce-id, ce-source, ce-type, ce-time and ce-site, and the body is the data.',
  access: 'events:write',
  body: {
    kind: 'raw',
    accepts: Object.values(mediaTypes),
    content: {
      [mediaTypes.structured]: { schema: event, examples: { one: example } },
      [mediaTypes.batch]: { schema: eventBatch, examples: { batch: batchExample } },
      [mediaTypes.json]: { schema: event.or(eventBatch), examples: { one: example, batch: batchExample } },
    },
  },
  answers: {
    200: {
      description: 'A batch: what became of each event.',
      content: { 'application/json': { schema: intakeAnswer } },
    },
    202: {
      description: 'One event, accepted or known already.',
      content: {
        'application/json': {
          schema: intakeAnswer,
        },
      },
    },
  },
  problems: [
    'invalid-json',
    'too-deep',
    'incomplete-body',
    'bad-request',
    'id-conflict',
    'body-too-large',
    'batch-too-large',
    'event-too-large',
    'unsupported-media-type',
    'invalid-event',
    'too-many-waiting',
  ],
  async handle({ key, raw, services }) {
    const { mode, events, sizes, repeated } = readBody(raw);
    const reader = await services.events.reader(key.organisation);
    const sent = events.map((body, at) => permitted(key, refuseRepeated(reader(body, sizes[at]), repeated.get(at))));
    const reads = await permittedRetractions(services, key, sent);
    const { results, findings } = await take(services, key.organisation, reads);
    const answers = results.map(({ faults, ...result }) => ({
      ...result,
      problem: faults === undefined ? undefined : eventProblem(faults, result),
    }));
    if (mode === 'single') {
      const [only] = answers;
      if (only?.problem !== undefined) throw asAnswer(only.problem);
      return { status: 202, body: { results: answers, findings } };
    }
    return { status: 200, body: { results: answers, findings } };
  },
});

interface Sent {
  readonly mode: 'single' | 'batch';
  readonly events: readonly unknown[];
  readonly sizes: readonly number[];
  /** Faults of those events that have a field twice, by their place. */
  readonly repeated: ReadonlyMap<number, readonly EventFault[]>;
}

/** The events of a request, none of them looked into; caps are held before anything is parsed. */
function readBody(raw: RawInput): Sent {
  const mode = httpMode(raw.headers);
  if (typeof mode !== 'string') {
    throw new Problem('unsupported-media-type', mode.message, { also: { accepted: Object.values(mediaTypes) } });
  }
  const shape = outline(raw.bytes);
  if ((shape.elements?.length ?? 0) > caps.events) {
    throw new Problem(
      'batch-too-large',
      `The batch holds ${shape.elements?.length} events; the cap is ${caps.events}.`,
      {
        also: { limit: caps.events },
      },
    );
  }
  const body = mode === 'binary' && raw.bytes.length === 0 ? undefined : parseJson(raw.bytes, shape);
  const read = httpEvents(mode, raw.headers, body);
  if (read.fault !== undefined) throw new Problem('bad-request', read.fault.message);
  const sizes = read.mode === 'batch' ? (shape.elements ?? []) : [raw.bytes.length];
  const repeated = new Map<number, EventFault[]>();
  for (const fault of body === undefined ? [] : repeatedNames(raw.bytes, body, shape)) {
    const [at, pointer] = placed(fault.pointer, mode === 'binary' ? 'data' : read.mode);
    repeated.set(at, [...(repeated.get(at) ?? []), { ...fault, pointer }]);
  }
  return { mode: read.mode, events: read.events, sizes, repeated };
}

/** Which event a pointer into the body points into, and where. */
function placed(pointer: string, body: 'single' | 'batch' | 'data'): [number, string] {
  if (body !== 'batch') return [0, body === 'data' ? `/data${pointer}` : pointer];
  const [, at = '0', ...rest] = pointer.split('/');
  return [Number(at), rest.map((part) => `/${part}`).join('')];
}

function refuseRepeated(read: Read, faults: readonly EventFault[] | undefined): Read {
  if (faults === undefined) return read;
  if (!read.ok) return { ok: false, refusal: { ...read.refusal, faults: [...faults, ...read.refusal.faults] } };
  const { source, id, site, type } = read.incoming.event;
  return { ok: false, refusal: { source, id, site, type, faults } };
}

/** Takes what may come in, keeps a record of what may not, and answers in the order sent. */
export async function take(services: Services, organisation: string, reads: readonly Read[]) {
  const incoming = reads.flatMap((read) => (read.ok ? [read.incoming] : []));
  const refused = reads.flatMap((read) => (read.ok ? [] : [read.refusal]));
  const { results, findings } = await services.events.accept(organisation, incoming);
  // Committed events are not unsaid because the record of the refused ones could not be written.
  await services.events.recordRejected(organisation, refused).catch((error: unknown) => {
    services.logger.error({ err: error, refused: refused.length }, 'refused events could not be recorded');
  });
  let at = 0;
  const inOrder = reads.map((read): ResultLike => {
    if (!read.ok) {
      const { source, id, faults } = read.refusal;
      return { source, id, status: 'rejected', findings: [], faults };
    }
    const result = results[at++];
    if (result === undefined) throw new Error('Intake gave fewer results than events.');
    return result;
  });
  return { results: inOrder, findings };
}

type ResultLike = Omit<EventResult, 'source' | 'id'> & { readonly source?: string; readonly id?: string };

const codes: Readonly<Record<string, ProblemCode>> = {
  'id-conflict': 'id-conflict',
  'too-large': 'event-too-large',
  forbidden: 'forbidden',
  'not-stored': 'unavailable',
};

/** The problem of one event. `pointer`s go into the event, not into the batch. */
export function eventProblem(
  faults: readonly EventFault[],
  { source, id }: { source?: string; id?: string },
): ProblemBody {
  const code = codes[faults[0]?.code ?? ''] ?? 'invalid-event';
  const first = faults[0];
  const detail = first === undefined ? undefined : faultSentence(first);
  return problemBody(code, detail, { errors: faults, also: { source, id } });
}

function asAnswer({ code, detail, errors, source, id }: ProblemBody): Problem {
  return new Problem(code, detail, { errors, also: { source, id } });
}
