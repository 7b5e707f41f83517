import { pointerTo } from './faults.js';
import type { Fault } from './faults.js';

/**
 * One cheap walk over an event before anything recursive sees it: depth, size, numbers and characters that cannot be
 * stored. It keeps its own stack, so no nesting can exhaust ours.
 */
export const limits = {
  /** Levels of nesting in an event; the deepest that the catalogue knows is 6. */
  depth: 12,
  /** Bytes of JSON, when the caller knows them; else characters, a number counting as 8. */
  size: 64 * 1024,
} as const;

interface Place {
  readonly value: object;
  readonly depth: number;
  readonly key: string | number;
  readonly parent: Place | undefined;
}

// PostgreSQL's jsonb cannot hold U+0000, and half a surrogate pair is no character at all.
const unstorable = /[\u0000\p{Cs}]/u;

/** @returns the faults found; after `too-deep` or `too-large` the walk stops and the event must not be looked at. */
export function guard(event: object): Fault[] {
  const faults: Fault[] = [];
  const stack: Place[] = [{ value: event, depth: 1, key: '', parent: undefined }];
  let size = 0;
  for (let place = stack.pop(); place !== undefined; place = stack.pop()) {
    if (place.depth > limits.depth)
      return [fault('too-deep', place, undefined, `is nested deeper than ${limits.depth} levels`)];
    const fields = place.value as Record<string, unknown>;
    const list = Array.isArray(place.value);
    for (const key in fields) {
      if (!list) {
        size += key.length + 3;
        if (unstorable.test(key))
          faults.push(fault('text', place, key, 'is a name with characters that cannot be stored'));
      }
      const value = fields[key];
      switch (typeof value) {
        case 'string':
          size += value.length + 3;
          if (size <= limits.size && unstorable.test(value))
            faults.push(fault('text', place, key, 'contains U+0000 or half a surrogate pair'));
          break;
        case 'number':
          size += 8;
          if (!Number.isFinite(value)) faults.push(fault('not-finite', place, key, 'must be a finite number'));
          break;
        case 'object':
          size += 3;
          if (value !== null) stack.push({ value, depth: place.depth + 1, key, parent: place });
          break;
        case 'boolean':
          size += 5;
          break;
        case 'undefined':
          break;
        default:
          faults.push(fault('wrong-type', place, key, 'is not a JSON value'));
      }
      if (size > limits.size) return [tooLarge];
    }
  }
  return faults;
}

export const tooLarge: Fault = {
  code: 'too-large',
  pointer: '',
  message: `is larger than ${limits.size / 1024} KiB`,
};

function fault(code: Fault['code'], place: Place, key: string | undefined, message: string): Fault {
  const path: (string | number)[] = key === undefined ? [] : [key];
  for (let at: Place | undefined = place; at?.parent; at = at.parent) path.unshift(at.key);
  return { code, pointer: pointerTo(path), message };
}
