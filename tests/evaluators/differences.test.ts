import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import { Engine } from 'json-rules-engine';
import type { TopLevelCondition } from 'json-rules-engine';
import { compileCondition } from '../../src/packs/conditions/compile.js';
import type { Condition } from '../../src/packs/model.js';
import { readPack } from '../../src/packs/reader/index.js';

/** Each intended difference of docs/evaluators.md: what the library alone answers, and what packs are judged by. */

type Facts = Readonly<Record<string, unknown>>;

/** The library as it comes, but for facts that may be missing and paths that are not evaluated. */
async function library(condition: unknown, facts: Facts, allowUndefinedFacts = true): Promise<boolean> {
  const engine = new Engine([], { allowUndefinedFacts, pathResolver: () => undefined });
  engine.addRule({ conditions: { all: [condition] } as TopLevelCondition, event: { type: 'fired' } });
  return (await engine.run({ ...facts })).results.length > 0;
}
const ours = (condition: Condition, facts: Facts) => compileCondition(condition).evaluate((name) => facts[name]);

/** The codes of the faults that a pack with this condition has. */
function refused(when: unknown): string[] {
  const carried =
    'tests: [{ name: a, kind: fires, events: [], expect: [{}] }, { name: b, kind: silent, events: [] }, { name: c, kind: boundary, events: [], expect: [] }]';
  const text = `pack: test/pack
version: 1.0.0
title: Test
authority: Test
layer: practice
citation: { text: test, read: practice }
checks:
  - { id: a, title: A, on: film.processed, about: run, severity: advice, say: a, when: ${JSON.stringify(when)}, ${carried} }
`;
  return readPack(text, 'pack.yaml').diagnostics.map(({ code }) => code);
}
const leaf = { fact: 'run.films', operator: 'equal', value: 1 };

const named = new Set<string>();
function difference(name: string, check: () => void | Promise<void>): void {
  named.add(name);
  test(name, check);
}

describe('intended differences from json-rules-engine', () => {
  difference('missing-fact', async () => {
    const short: Condition = { fact: 'time', operator: 'lessThan', value: 4 };
    await expect(library(short, {}, false)).rejects.toThrow('Undefined fact');
    expect(await library(short, {})).toBe(false);
    expect(ours(short, {})).toBeUndefined();
    expect(ours({ all: [short, { fact: 'n', operator: 'equal', value: 1 }] }, { n: 1 })).toBeUndefined();
    expect(ours({ all: [short, { fact: 'n', operator: 'equal', value: 1 }] }, { n: 2 })).toBe(false);
  });

  difference('not-of-missing', async () => {
    const long: Condition = { not: { fact: 'time', operator: 'lessThan', value: 4 } };
    const other: Condition = { fact: 'kind', operator: 'notEqual', value: 'rapid' };
    for (const condition of [long, other]) {
      expect(await library(condition, {})).toBe(true);
      expect(ours(condition, {})).toBeUndefined();
    }
  });

  difference('binary-fractions', async () => {
    const above: Condition = { fact: 'density', operator: 'greaterThan', value: 0.3 };
    expect(await library(above, { density: 0.1 + 0.2 })).toBe(true);
    expect(ours(above, { density: 0.1 + 0.2 })).toBe(false);
  });

  difference('numbers-in-texts', async () => {
    const above: Condition = { fact: 'steps', operator: 'greaterThan', value: 3 };
    expect(await library(above, { steps: '5' })).toBe(true);
    expect(ours(above, { steps: '5' })).toBeUndefined();
  });

  difference('contains-in-texts', async () => {
    const has: Condition = { fact: 'method', operator: 'contains', value: 'side' };
    expect(await library(has, { method: 'chairside' })).toBe(false);
    expect(ours(has, { method: 'chairside' })).toBe(true);
  });

  difference('ladders', async () => {
    const below: Condition = { fact: 'time', operator: 'below', value: { limit: 'time-min' } };
    await expect(library(below, { time: 3 })).rejects.toThrow('Unknown operator');
    expect(ours(below, { time: 3, 'limit:time-min': [{ side: 'min', verdict: 'broken' }] })).toBe(true);
  });

  difference('decorators', async () => {
    expect(await library({ ...leaf, operator: 'not:equal' }, { 'run.films': 2 })).toBe(true);
    expect(refused({ ...leaf, operator: 'not:equal' })).toEqual(['unknown-operator']);
  });

  difference('paths', async () => {
    const engine = new Engine([], { pathResolver: (value, path) => (value as Facts)[path.slice(2)] });
    engine.addRule({
      conditions: { all: [{ fact: 'run', operator: 'equal', value: 1, path: '$.films' }] },
      event: { type: 'fired' },
    });
    expect((await engine.run({ run: { films: 1 } })).results).toHaveLength(1);
    for (const more of [{ path: '$.films' }, { params: { films: 1 } }])
      expect(refused({ ...leaf, ...more })).toEqual(['unknown-field']);
    expect(refused({ ...leaf, fact: '$.run.films' })).toEqual(['unknown-fact']);
  });

  difference('shared-conditions', async () => {
    const engine = new Engine([]);
    engine.setCondition('one', { all: [leaf] });
    engine.addRule({ conditions: { condition: 'one' }, event: { type: 'fired' } });
    expect((await engine.run({ 'run.films': 1 })).results).toHaveLength(1);
    expect(refused({ condition: 'one' })).toEqual(['unknown-field']);
  });

  difference('priorities', async () => {
    expect(await library({ ...leaf, priority: 10 }, { 'run.films': 1 })).toBe(true);
    expect(refused({ ...leaf, priority: 10 })).toEqual(['unknown-field']);
  });

  difference('empty-groups', async () => {
    for (const empty of [{ all: [] }, { any: [] }]) {
      expect(await library(empty, {})).toBe(true);
      expect(refused(empty)).toEqual(['missing-field']);
    }
  });

  test('are those that the page names', async () => {
    const page = await readFile('docs/evaluators.md', 'utf8');
    const listed = [...page.matchAll(/^\| `([a-z-]+)`/gm)].map(([, name]) => name);
    expect(listed).toEqual([...named]);
  });
});
