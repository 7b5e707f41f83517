import express, { type RequestHandler } from 'express';
import { type JsonOutline, outline, parseJson } from './json.js';
import type { BodySpec } from './operation.js';
import { Problem } from './problems.js';

/**
 * The bytes of any body up to the cap, whatever its type: types are judged per operation, so that the answer can list
 * what that operation accepts. Compressed bodies are refused: a small one may hide a very large one.
 */
export function bodyReader(limit: number): RequestHandler {
  return express.raw({ type: () => true, limit, inflate: false });
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
  const shape: JsonOutline = outline(bytes);
  return parseJson(bytes, shape);
}
