import { Problem } from './problems.js';

/** Nesting that any body may have. Catalogue events need six levels. */
export const maxDepth = 64;

/** What a look over the raw bytes tells, before anything is parsed. */
export interface JsonOutline {
  /** Deepest nesting of objects and arrays; counting stops just above `maxDepth`. */
  readonly depth: number;
  /** Fields of all its objects together: colons outside of texts. */
  readonly members: number;
  /** Bytes of each element, when the body is an array. */
  readonly elements?: readonly number[];
  /** Fields of the elements up to and including each one. */
  readonly membersUpTo?: readonly number[];
}

const quote = 0x22;
const backslash = 0x5c;
const comma = 0x2c;
const colon = 0x3a;
const openSquare = 0x5b;
const closeSquare = 0x5d;
const openCurly = 0x7b;
const closeCurly = 0x7d;
const space = 0x20;

/**
 * One pass over the bytes: how deep they nest, how many fields they have and, for an array, how large each element is.
 * It judges nothing else; JSON.parse does. Needed first because JSON.parse recurses, and because a batch's caps should
 * cost no parsing.
 */
export function outline(bytes: Uint8Array): JsonOutline {
  let depth = 0;
  let deepest = 0;
  let topIsArray: boolean | undefined;
  let elementStart = 0;
  let members = 0;
  const elements: number[] = [];
  const membersUpTo: number[] = [];
  for (let i = 0; i < bytes.length; i++) {
    const byte = bytes[i];
    if (byte === quote) {
      for (i++; i < bytes.length && bytes[i] !== quote; i++) if (bytes[i] === backslash) i++;
    } else if (byte === colon) {
      members++;
    } else if (byte === openCurly || byte === openSquare) {
      if (depth === 0 && topIsArray === undefined) {
        topIsArray = byte === openSquare;
        elementStart = i + 1;
      }
      depth++;
      if (depth > deepest) deepest = depth;
      if (depth > maxDepth) break;
    } else if (byte === closeCurly || byte === closeSquare) {
      if (depth === 1 && topIsArray === true && (elements.length > 0 || !blank(bytes, elementStart, i))) {
        elements.push(i - elementStart);
        membersUpTo.push(members);
      }
      depth--;
    } else if (byte === comma && depth === 1 && topIsArray === true) {
      elements.push(i - elementStart);
      membersUpTo.push(members);
      elementStart = i + 1;
    }
  }
  return topIsArray === true ? { depth: deepest, members, elements, membersUpTo } : { depth: deepest, members };
}

function blank(bytes: Uint8Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if ((bytes[i] ?? 0) > space) return false;
  return true;
}

const utf8 = new TextDecoder('utf-8', { fatal: true });

/**
 * The value of a JSON body.
 * @throws Problem `invalid-json` or `too-deep`.
 */
export function parseJson(bytes: Uint8Array, { depth }: Pick<JsonOutline, 'depth'> = outline(bytes)): unknown {
  if (depth > maxDepth) {
    throw new Problem('too-deep', `The body nests more than ${maxDepth} levels deep.`, { also: { limit: maxDepth } });
  }
  let text: string;
  try {
    text = utf8.decode(bytes);
  } catch {
    throw new Problem('invalid-json', 'The body is not valid UTF-8.');
  }
  try {
    return JSON.parse(text) as unknown;
  } catch (error) {
    throw new Problem('invalid-json', explain(text, error));
  }
}

/** Where reading stopped, without quoting the body: it may hold what nobody wants in a log. */
function explain(text: string, error: unknown): string {
  if (text.trim() === '') return 'The body is empty.';
  const said = error instanceof Error ? error.message : '';
  const position = /position (\d+)/.exec(said)?.[1];
  if (position === undefined)
    return said.includes('end of JSON') ? 'The JSON ends before it is complete.' : 'It is not JSON.';
  const before = text.slice(0, Number(position)).split('\n');
  return `Reading stopped at line ${before.length}, column ${(before.at(-1)?.length ?? 0) + 1}.`;
}
