import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { maxDepth, outline, parseJson } from '../../src/api/json.js';
import { Problem } from '../../src/api/problems.js';

const bytes = (text: string): Buffer => Buffer.from(text);

function problemOf(text: string | Buffer): Problem {
  try {
    parseJson(typeof text === 'string' ? bytes(text) : text);
  } catch (error) {
    if (error instanceof Problem) return error;
    throw error;
  }
  throw new Error('It was read.');
}

describe('the look over the bytes', () => {
  test('depth and elements are those of the parsed value, however it is written', () => {
    const depthOf = (value: unknown): number =>
      typeof value === 'object' && value !== null ? 1 + Math.max(0, ...Object.values(value).map(depthOf)) : 0;
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 8 }), fc.constantFrom(undefined, 1, '\t'), (value, indent) => {
        const text = JSON.stringify(value, null, indent);
        const { depth, elements } = outline(bytes(text));
        expect(depth).toBe(depthOf(value));
        expect(elements?.length).toBe(Array.isArray(value) ? value.length : undefined);
      }),
      { numRuns: 300 },
    );
  });

  test('sizes of elements are the bytes between the commas', () => {
    expect(outline(bytes('[{"a":"é,]"},12, "x" ]')).elements).toEqual([12, 2, 5]);
    expect(outline(bytes(' [ ] ')).elements).toEqual([]);
    expect(outline(bytes('{"a":[1,2]}')).elements).toBeUndefined();
  });

  test('ten thousand levels are refused before anything is parsed', () => {
    expect(problemOf('['.repeat(10_000)).code).toBe('too-deep');
    expect(problemOf('{"a":'.repeat(10_000)).code).toBe('too-deep');
    expect(parseJson(bytes('['.repeat(maxDepth) + ']'.repeat(maxDepth)))).toBeDefined();
    expect(problemOf('['.repeat(maxDepth + 1) + ']'.repeat(maxDepth + 1)).code).toBe('too-deep');
  });
});

describe('what cannot be read', () => {
  test('says where, and repeats nothing of the body', () => {
    const secret = problemOf('{\n  "note": secret-word\n}');
    expect(secret.code).toBe('invalid-json');
    expect(problemOf('{\n  "a": 1,\n}').detail).toBe('Reading stopped at line 3, column 1.');
    expect(JSON.stringify(secret.body())).not.toContain('secret-word');
    expect(problemOf('').detail).toBe('The body is empty.');
    expect(problemOf('{"a":[').detail).toMatch(/ends before/);
  });

  test('bytes that are no UTF-8', () => {
    expect(problemOf(Buffer.from([0x22, 0xff, 0xfe, 0x22])).detail).toMatch(/UTF-8/);
  });
});
