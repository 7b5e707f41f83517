import { randomUUID } from 'node:crypto';
import type { Duplex } from 'node:stream';
import type { ErrorRequestHandler, Response } from 'express';
import type { Logger } from 'pino';
import { CursorError } from '../db/cursor.js';
import { isStorageFull } from '../db/errors.js';
import { isAboutTheDatabase } from '../ledger/failures.js';
import { OverloadError } from '../ledger/waiting.js';
import { Problem, type ProblemBody, problemBody } from './problems.js';

/** Writes a problem; the one place that does. */
export function sendProblem(
  response: Response,
  body: ProblemBody,
  headers: Readonly<Record<string, string>> = {},
): void {
  response.status(body.status);
  for (const [name, value] of Object.entries(headers)) response.setHeader(name, value);
  response.setHeader('Content-Type', 'application/problem+json; charset=utf-8');
  response.end(JSON.stringify(body));
}

/** The last handler: every error leaves as a problem, and none takes anything of the inside with it. */
export function problemHandler(logger: Logger): ErrorRequestHandler {
  return (error: unknown, request, response, next) => {
    if (response.headersSent) {
      next(error);
      return;
    }
    const problem = asProblem(error);
    if (problem !== undefined) {
      // The rest of a body that was refused unread would be taken for the next request.
      if (!request.complete) response.setHeader('Connection', 'close');
      sendProblem(response, problem.body(), problem.extra.headers);
      return;
    }
    const id = randomUUID();
    const code = isStorageFull(error) ? 'storage-full' : isAboutTheDatabase(error) ? 'unavailable' : 'internal';
    logger.error({ id, err: error, method: request.method, path: request.path }, 'a request failed');
    sendProblem(
      response,
      problemBody(code, undefined, { also: { id } }),
      code === 'unavailable' ? { 'Retry-After': '5' } : code === 'storage-full' ? { 'Retry-After': '60' } : {},
    );
  };
}

/** What express and its body reader raise, in our words. */
function asProblem(error: unknown): Problem | undefined {
  if (error instanceof Problem) return error;
  if (error instanceof CursorError) return new Problem('invalid-cursor', error.message);
  if (error instanceof OverloadError) {
    const code = error.whose === 'organisation' ? 'too-many-waiting' : 'overloaded';
    return new Problem(code, error.message, { headers: { 'Retry-After': String(error.retryAfter) } });
  }
  if (error instanceof URIError)
    return new Problem('bad-request', 'The address holds a percent sign that escapes nothing.');
  if (!isRecord(error)) return undefined;
  // Client errors that libraries mark as such.
  const status = error['status'];
  return error['expose'] === true && typeof status === 'number' && status >= 400 && status < 500
    ? new Problem('bad-request')
    : undefined;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null;
}

/** Answers what is not even HTTP, or has headers beyond all measure, before any application sees it. */
export function refuseConnection(error: NodeJS.ErrnoException, socket: Duplex): void {
  if (error.code === 'ECONNRESET' || !socket.writable) {
    socket.destroy();
    return;
  }
  const [status, reason, code] =
    error.code === 'HPE_HEADER_OVERFLOW'
      ? [431, 'Request Header Fields Too Large', 'headers-too-large' as const]
      : error.code === 'ERR_HTTP_REQUEST_TIMEOUT'
        ? [408, 'Request Timeout', 'request-timeout' as const]
        : [400, 'Bad Request', 'bad-request' as const];
  const body = JSON.stringify(problemBody(code));
  socket.end(
    `HTTP/1.1 ${status} ${reason}\r\nContent-Type: application/problem+json; charset=utf-8\r\n` +
      `Content-Length: ${Buffer.byteLength(body)}\r\nConnection: close\r\n\r\n${body}`,
  );
}
