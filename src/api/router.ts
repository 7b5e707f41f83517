import { isDeepStrictEqual } from 'node:util';
import { type Request, type Response, Router } from 'express';
import type { Authenticate } from './auth.js';
import { type Bodies, jsonBody } from './body.js';
import type { Gate } from './gate.js';
import { nearest } from '../events/nearest.js';
import type { Operation, Reply } from './operation.js';
import { Problem } from './problems.js';
import type { Services } from './services.js';

export interface RouterOptions {
  readonly services: Services;
  readonly authenticate: Authenticate;
  readonly bodies: Bodies;
  readonly gate: Gate;
  /** Every answer is held against its declared schema before it leaves; for tests. */
  readonly checkAnswers?: boolean;
}

const noBytes = Buffer.alloc(0);

/** Serves the operations; what is not one of them gets 405 with `Allow`, or 404 with the nearest address. */
export function operationsRouter(operations: readonly Operation[], options: RouterOptions): Router {
  const router = Router({ caseSensitive: true, strict: false });
  const byPath = new Map<string, Operation[]>();
  for (const operation of operations) byPath.set(operation.path, [...(byPath.get(operation.path) ?? []), operation]);
  for (const [path, group] of byPath) {
    const rest = group.find((operation) => operation.rest !== undefined)?.rest;
    const route = router.route(path.replaceAll(/\{(\w+)\}/g, (_, name: string) => (name === rest ? '*' : ':') + name));
    for (const operation of group) {
      // The key comes first: nobody's megabytes are read before it is known who sends them.
      route[operation.method](async (request: Request, response: Response) => {
        const began = performance.now();
        response.once('finish', () => {
          options.services.observe(operation.id, response.statusCode, (performance.now() - began) / 1000);
        });
        options.gate.enter(response, operation.access === 'open' || operation.access === 'operator');
        const key = await options.authenticate(request, response, operation.access);
        const body = operation.body === undefined ? undefined : await options.bodies.read(request);
        const bytes = body?.bytes ?? noBytes;
        const contentType = request.headers['content-type'];
        let reply: Reply;
        try {
          reply = await operation.run(
            {
              key,
              params: joined(request.params),
              search: search(request.originalUrl),
              headers: request.headers,
              bytes,
              accepts: (types) => request.accepts([...types]) || undefined,
              isGone: () => response.destroyed || request.socket.destroyed,
              json: operation.body?.kind === 'json' ? jsonBody(operation.body, contentType, bytes) : undefined,
            },
            options.services,
          );
        } finally {
          body?.release();
        }
        // What is said of patients' films is nobody's to keep on the way.
        if (operation.access !== 'open') response.setHeader('Cache-Control', 'no-store');
        if (options.checkAnswers === true) checkAnswer(operation, reply);
        send(response, reply);
      });
    }
    const methods = group.map(({ method }) => method.toUpperCase());
    const allow = [...methods, ...(methods.includes('GET') ? ['HEAD'] : []), 'OPTIONS'].join(', ');
    route.all((request: Request, response: Response) => {
      response.setHeader('Allow', allow);
      if (request.method === 'OPTIONS') {
        response.status(204).end();
        return;
      }
      throw new Problem('method-not-allowed', `${request.method.slice(0, 20)} is not served here.`, {
        also: { allowed: allow.split(', ') },
      });
    });
  }
  router.use((request: Request) => {
    const near = nearestPath(request.path, [...byPath.keys()]);
    throw new Problem('not-found', near === undefined ? 'No such address.' : `No such address; did you mean ${near}?`, {
      also: near === undefined ? {} : { nearest: near },
    });
  });
  return router;
}

/** Express gives a part that holds slashes as a list. */
function joined(params: Record<string, string | string[]>): Record<string, string> {
  const entries = Object.entries(params);
  return Object.fromEntries(entries.map(([name, value]) => [name, Array.isArray(value) ? value.join('/') : value]));
}

function search(url: string): URLSearchParams {
  const mark = url.indexOf('?');
  return new URLSearchParams(mark === -1 ? '' : url.slice(mark + 1));
}

/** Compares segment by segment, a `{name}` standing for whatever was sent in its place. */
export function nearestPath(path: string, known: readonly string[]): string | undefined {
  const sent = path.slice(0, 300).split('/');
  const filled = known.map((template) =>
    template
      .split('/')
      .map((part, i) => (part.startsWith('{') ? (sent[i] ?? part) : part))
      .join('/'),
  );
  const near = nearest(path.slice(0, 200), filled);
  return near === undefined ? undefined : known[filled.indexOf(near)];
}

export function send(response: Response, reply: Reply): void {
  response.status(reply.status);
  for (const [name, value] of Object.entries(reply.headers ?? {})) response.setHeader(name, value);
  if (reply.body === undefined) {
    response.end();
  } else if (reply.type === undefined) {
    response.setHeader('Content-Type', 'application/json; charset=utf-8');
    response.end(JSON.stringify(reply.body));
  } else {
    response.setHeader('Content-Type', reply.type);
    response.end(String(reply.body));
  }
}

function checkAnswer(operation: Operation, reply: Reply): void {
  const declared = operation.answers[reply.status];
  if (declared === undefined) throw new Error(`${operation.id} answered ${reply.status}, which it does not declare.`);
  const type = reply.type?.split(';', 1)[0] ?? 'application/json';
  const content = declared.content?.[type];
  if (reply.body === undefined ? declared.content !== undefined : content === undefined) {
    throw new Error(`${operation.id} answered ${reply.status} as ${type}, which it does not declare.`);
  }
  // As it travels: undefined members are gone.
  const travelled = reply.type === undefined ? (JSON.parse(JSON.stringify(reply.body ?? null)) as unknown) : reply.body;
  const result = content?.schema.safeParse(travelled);
  if (result?.success === false) throw new Error(`${operation.id} answered out of its schema: ${result.error.message}`);
  if (result !== undefined && !isDeepStrictEqual(result.data, travelled)) {
    throw new Error(
      `${operation.id} answered fields that its schema does not have: ${stray(travelled, result.data).join(', ')}`,
    );
  }
}

/** Paths of what is in one value and not in the other. */
function stray(whole: unknown, known: unknown, at = ''): string[] {
  if (typeof whole !== 'object' || whole === null) return [];
  const other = (known ?? {}) as Record<string, unknown>;
  return Object.entries(whole).flatMap(([name, value]) =>
    name in other ? stray(value, other[name], `${at}/${name}`) : [`${at}/${name}`],
  );
}
