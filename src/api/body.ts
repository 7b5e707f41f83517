import type { IncomingMessage } from 'node:http';
import { outline, parseJson } from './json.js';
import type { BodySpec } from './operation.js';
import { Problem } from './problems.js';
import { repeatedNames } from './repeated.js';

export interface BodyCaps {
  /** Bytes of one body. */
  readonly limit: number;
  /** Bytes of all bodies in memory, from their arrival until their requests are done. */
  readonly memory: number;
  /** ms without a byte, after which a body is given up. */
  readonly silence: number;
}

/** What was read of a body; `release` says that the request is done with it. */
export interface Body {
  readonly bytes: Buffer;
  readonly release: () => void;
}

/**
 * Reads bodies whole, whatever their type: types are judged per operation, so that the answer can list what that
 * operation accepts. Compressed bodies are refused: a small one may hide a very large one.
 *
 * Memory is counted as it fills, not as it is announced: a caller who announces much and sends nothing takes no room
 * from the others. Who would overfill it is sent away.
 */
export class Bodies {
  readonly #caps: BodyCaps;
  #held = 0;

  constructor(caps: BodyCaps) {
    this.#caps = caps;
  }

  /** Bytes in memory. */
  get held(): number {
    return this.#held;
  }

  /** @throws Problem; what had come of the body is dropped, and the rest is not read. */
  read(request: IncomingMessage): Promise<Body> {
    const { limit, memory, silence } = this.#caps;
    const encoding = request.headers['content-encoding'] ?? 'identity';
    const announced = Number(request.headers['content-length'] ?? 0);
    return new Promise((resolve, reject) => {
      let parts: Buffer[] = [];
      let count = 0;
      let over = false;
      const release = (): void => {
        this.#held -= count;
        count = 0;
      };
      const end = (problem?: Problem): void => {
        if (over) return;
        over = true;
        clearTimeout(timer);
        request.off('data', onData).off('end', onEnd).off('close', onClose).off('error', onClose);
        if (problem === undefined) return resolve({ bytes: Buffer.concat(parts), release });
        request.pause();
        parts = [];
        release();
        // A connection that breaks later says so once more; nobody is left to listen.
        request.on('error', () => undefined);
        reject(problem);
      };
      const onData = (part: Buffer): void => {
        timer.refresh();
        count += part.length;
        this.#held += part.length;
        if (count > limit) return end(tooLarge(limit));
        if (this.#held > memory) return end(full());
        parts.push(part);
      };
      const onEnd = (): void => end();
      const onClose = (): void => end(new Problem('incomplete-body'));
      const timer = setTimeout(() => {
        end(new Problem('request-timeout', `Nothing came for ${silence / 1000} s.`));
      }, silence);
      if (encoding.toLowerCase() !== 'identity') {
        return end(new Problem('unsupported-media-type', 'Bodies are read uncompressed: send no Content-Encoding.'));
      }
      if (announced > limit) return end(tooLarge(limit));
      if (this.#held + announced > memory) return end(full());
      request.on('data', onData).on('end', onEnd).on('close', onClose).on('error', onClose);
    });
  }
}

function tooLarge(limit: number): Problem {
  return new Problem('body-too-large', `The cap is ${limit} bytes.`, { also: { limit } });
}

function full(): Problem {
  const detail = 'The bodies of other requests fill the memory that is set aside for them.';
  return new Problem('overloaded', detail, { headers: { 'Retry-After': '1' } });
}

/** The media type without parameters, lower case; empty when the header is missing. */
export function mediaType(header: string | undefined): string {
  return (header ?? '').replace(/;[^]*/, '').trim().toLowerCase();
}

const jsonType = 'application/json';

/** @throws Problem `unsupported-media-type`. */
export function checkMediaType(contentType: string | undefined, accepted: readonly string[]): void {
  const also = { accepted };
  const type = mediaType(contentType);
  if (!accepted.includes(type)) {
    throw new Problem(
      'unsupported-media-type',
      type === '' ? 'The Content-Type header is missing.' : `The Content-Type is ${printable(type)}.`,
      { also, headers: { Accept: accepted.join(', ') } },
    );
  }
  const charset = /;\s*charset\s*=\s*"?([^";\s]+)/i.exec(contentType ?? '')?.[1];
  if (charset !== undefined && !['utf-8', 'utf8', 'us-ascii'].includes(charset.toLowerCase())) {
    throw new Problem('unsupported-media-type', `The charset is ${printable(charset)}; bodies are UTF-8.`, { also });
  }
}

function printable(text: string): string {
  return text.slice(0, 100).replaceAll(/[^\x20-\x7e]/g, '?');
}

/** The JSON value of the body of a `json` operation; undefined when there is none and none is needed. */
export function jsonBody(
  spec: Extract<BodySpec, { kind: 'json' }>,
  contentType: string | undefined,
  bytes: Buffer,
): unknown {
  if (bytes.length === 0 && !spec.required) return undefined;
  checkMediaType(contentType, [jsonType]);
  const shape = outline(bytes);
  const value = parseJson(bytes, shape);
  const errors = repeatedNames(bytes, value, shape);
  if (errors.length > 0) throw new Problem('invalid-body', undefined, { errors: errors.slice(0, 20) });
  return value;
}
