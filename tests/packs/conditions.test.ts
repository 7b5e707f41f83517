import { describe, expect, test } from '@jest/globals';
import { compileCondition, missingFacts } from '../../src/packs/conditions/compile.js';
import { resolveDotted } from '../../src/packs/conditions/trace.js';
import type { Condition, Operand } from '../../src/packs/model.js';

const leaf = (fact: string, value: Operand) => ({ fact, operator: 'equal', value }) as const;
const read =
  (facts: Readonly<Record<string, unknown>>) =>
  (name: string): unknown =>
    facts[name];

describe('what a condition reads', () => {
  test('every fact and limit once, and nothing else', () => {
    const condition: Condition = {
      all: [
        leaf('run.films', 3),
        leaf('run.films', { fact: 'line.filmsToday' }),
        { not: { fact: 'run.developer.time', operator: 'below', value: { limit: 'development-time-min' } } },
      ],
    };
    expect(compileCondition(condition).reads).toEqual([
      'run.films',
      'line.filmsToday',
      'run.developer.time',
      'limit:development-time-min',
    ]);
  });

  test('a literal is read as it stands, null and lists too', () => {
    const nothing = compileCondition(leaf('a', null));
    expect(nothing.reads).toEqual(['a']);
    expect(nothing.evaluate(read({ a: null }))).toBe(true);
    expect(nothing.evaluate(read({ a: 0 }))).toBe(false);
    const list = compileCondition({ fact: 'a', operator: 'in', value: ['x', 'y'] });
    expect(list.evaluate(read({ a: 'y' }))).toBe(true);
    expect(list.evaluate(read({ a: 'z' }))).toBe(false);
  });
});

describe('what left a condition open', () => {
  test('a part that was decided lacks nothing, whatever is missing in it', () => {
    const condition: Condition = {
      any: [
        { all: [leaf('known', 1), leaf('beside', 1)] },
        { not: { any: [leaf('known', 2), leaf('other', 1)] } },
        leaf('open', 1),
      ],
    };
    // The first part is false by `known`; the second is false too: `not` of a true one.
    expect(missingFacts(condition, read({ known: 2 }))).toEqual(['open']);
    expect(missingFacts(condition, read({ known: 1 }))).toEqual(['beside', 'other', 'open']);
  });

  test('nothing where it is decided', () => {
    expect(missingFacts({ any: [leaf('a', 1), leaf('b', 1)] }, read({ a: 1 }))).toEqual([]);
    expect(missingFacts({ all: [leaf('a', 2), leaf('b', 1)] }, read({ a: 1 }))).toEqual([]);
  });

  test('a fact beside another, and a ladder, which may lack facts of its own', () => {
    expect(missingFacts(leaf('a', { fact: 'b' }), read({ a: 1 }))).toEqual(['b']);
    expect(missingFacts(leaf('a', { fact: 'b' }), read({ b: 1 }))).toEqual(['a']);
    const ladder: Condition = { fact: 'a', operator: 'above', value: { limit: 'x' } };
    expect(missingFacts(ladder, read({ a: 1, 'limit:x': [] }))).toEqual(['limit:x']);
  });
});

test('a dotted name goes through own properties of plain objects, never of texts or prototypes', () => {
  const value = { a: { b: 1, none: null, text: 'abc' } };
  expect(resolveDotted(value, 'a.b')).toBe(1);
  for (const path of ['a.none.b', 'a.text.length', 'a.b.toFixed', 'a.missing.b', 'a.constructor', '__proto__', 'b'])
    expect(resolveDotted(value, path)).toBeUndefined();
  expect(resolveDotted(null, 'a')).toBeUndefined();
  expect(resolveDotted(undefined, 'a')).toBeUndefined();
  expect(resolveDotted('abc', 'length')).toBeUndefined();
});
