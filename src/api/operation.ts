import type { IncomingHttpHeaders } from 'node:http';
import type * as z from 'zod';
import { faultsOf, faulty } from './faults.js';
import type { Key, Scope } from './keys.js';
import { Problem, type ProblemCode } from './problems.js';
import { readQuery } from './query.js';
import type { Services } from './services.js';

/**
 * One operation of the API: what the router serves and what openapi.yaml says come from the same object, so that they
 * cannot drift apart.
 */
export interface Operation {
  readonly id: string;
  readonly method: Method;
  /** With `{name}` for the parts that vary. */
  readonly path: string;
  /** The part of the path that may hold slashes of its own, and must be its last. */
  readonly rest?: string;
  readonly tag: string;
  readonly summary: string;
  readonly description?: string;
  readonly access: Access;
  readonly params?: z.ZodObject;
  readonly query?: z.ZodObject;
  readonly body?: BodySpec;
  readonly answers: Readonly<Record<number, Answer>>;
  /** Besides those that any operation may answer. */
  readonly problems: readonly ProblemCode[];
  run(raw: RawInput, services: Services): Promise<Reply>;
}

export type Method = 'get' | 'post' | 'put' | 'delete';
/** A scope; `open` to anybody; `operator`: an admin key, or a caller on this machine. */
export type Access = Scope | 'open' | 'operator';

export interface Answer {
  readonly description: string;
  /** Media type to schema and example; absent: no body. */
  readonly content?: Readonly<
    Record<string, { readonly schema: z.ZodType; readonly example?: unknown; readonly examples?: Examples }>
  >;
}
export type Examples = Readonly<Record<string, { readonly summary: string; readonly value: unknown }>>;

/** `json`: checked against the schema before the handler; `raw`: the handler reads the bytes itself. */
export type BodySpec =
  | { readonly kind: 'json'; readonly required: boolean; readonly schema: z.ZodType; readonly example?: unknown }
  | {
      readonly kind: 'raw';
      readonly accepts: readonly string[];
      readonly content: Readonly<Record<string, { readonly schema: z.ZodType; readonly examples?: Examples }>>;
    };

/** A request, before anything about it was checked except its key. */
export interface RawInput {
  readonly key: Key | null;
  readonly params: Readonly<Record<string, string>>;
  readonly search: URLSearchParams;
  readonly headers: IncomingHttpHeaders;
  readonly bytes: Buffer;
  /** Which of these media types the caller likes best; undefined when none will do. */
  readonly accepts: (types: readonly string[]) => string | undefined;
  /** The parsed JSON body, for operations of body kind `json`; undefined when there was none. */
  readonly json: unknown;
  /** Whether whoever asked has hung up: for work that would go on for long. */
  readonly isGone: () => boolean;
}

export interface Input<P, Q, B> {
  readonly params: P;
  readonly query: Q;
  readonly body: B;
  /** Null only where access is open or granted to this machine. */
  readonly key: Key;
  readonly raw: RawInput;
  readonly services: Services;
}

export interface Reply {
  readonly status: number;
  readonly body?: unknown;
  /** Media type of a body that is text already; JSON otherwise. */
  readonly type?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

type Empty = Record<string, never>;
type Out<S> = S extends z.ZodType ? z.output<S> : Empty;

interface Spec<
  P extends z.ZodObject | undefined,
  Q extends z.ZodObject | undefined,
  B extends z.ZodType | undefined,
> extends Omit<Operation, 'run' | 'params' | 'query' | 'body'> {
  readonly params?: P;
  readonly query?: Q;
  readonly body?:
    { kind: 'json'; required: boolean; schema: B & z.ZodType; example?: unknown } | Extract<BodySpec, { kind: 'raw' }>;
  handle(input: Input<Out<P>, Out<Q>, Out<B>>): Promise<Reply>;
}

/** Ties a handler to what it declares: parameters and body arrive checked and typed. */
export function operation<
  P extends z.ZodObject | undefined = undefined,
  Q extends z.ZodObject | undefined = undefined,
  B extends z.ZodType | undefined = undefined,
>(spec: Spec<P, Q, B>): Operation {
  const { handle, ...shown } = spec;
  return {
    ...shown,
    async run(raw, services) {
      const params = spec.params === undefined ? {} : readParams(spec.params, raw.params);
      const query = readQuery(spec.query, raw.search);
      const body = spec.body?.kind === 'json' ? readBody(spec.body.schema, spec.body.required, raw.json) : undefined;
      return handle({
        params: params as Out<P>,
        query: query as Out<Q>,
        body: body as Out<B>,
        // `access` is checked by the router: a handler of a scoped operation always has a key.
        key: raw.key as Key,
        raw,
        services,
      });
    },
  };
}

/** A name in the path that no thing can have is simply not found. */
function readParams(schema: z.ZodObject, given: Readonly<Record<string, string>>): unknown {
  const result = schema.safeParse(given);
  if (result.success) return result.data;
  const [first] = faultsOf(result.error, schema, given);
  const detail =
    first === undefined ? 'No such address.' : `No such address: ${first.pointer.slice(1)} ${first.message}.`;
  throw new Problem('not-found', detail);
}

function readBody(schema: z.ZodType, required: boolean, json: unknown): unknown {
  if (json === undefined && required) throw new Problem('invalid-json', 'The body is empty.');
  const result = schema.safeParse(json ?? {});
  if (!result.success) throw faulty('invalid-body', faultsOf(result.error, schema, json ?? {}));
  return result.data;
}
