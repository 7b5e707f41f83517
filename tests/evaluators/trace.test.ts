import { describe, expect, test } from '@jest/globals';
import { resolveDotted, trace } from '../../src/packs/conditions/trace.js';
import type { Condition } from '../../src/packs/model.js';

const short: Condition = {
  all: [
    { fact: 'run.method', operator: 'equal', value: 'manual' },
    { fact: 'run.developer.time', operator: 'below', value: { limit: 'development-time-min' } },
    { not: { fact: 'run.films', operator: 'greaterThan', value: 20 } },
  ],
};

describe('trace', () => {
  test('holds the result of every leaf with the values it compared, as plain JSON', async () => {
    const ladder = [{ side: 'min', verdict: 'broken', bound: 240 }];
    const { fired, tree } = await trace(short, {
      'run.method': 'manual',
      'run.developer.time': 210,
      'run.films': 3,
      'limit:development-time-min': ladder,
    });
    expect(fired).toBe(true);
    expect(tree).toEqual({
      priority: 1,
      all: [
        {
          fact: 'run.method',
          operator: 'equal',
          value: 'manual',
          factResult: 'manual',
          valueResult: 'manual',
          result: true,
        },
        {
          fact: 'run.developer.time',
          operator: 'below',
          value: { fact: 'limit:development-time-min' },
          factResult: 210,
          valueResult: ladder,
          result: true,
        },
        {
          priority: 1,
          not: { fact: 'run.films', operator: 'greaterThan', value: 20, factResult: 3, valueResult: 20, result: false },
        },
      ],
    });
    expect(JSON.parse(JSON.stringify(tree))).toEqual(tree);
  });

  test('a single leaf, and facts that are missing, are no error', async () => {
    expect((await trace({ fact: 'a.b', operator: 'equal', value: 1 }, {})).fired).toBe(false);
    expect((await trace({ fact: 'a.b', operator: 'equal', value: 1 }, { 'a.b': 1 })).fired).toBe(true);
  });

  test('many at once do not disturb one another', async () => {
    const all = await Promise.all(
      Array.from({ length: 50 }, (_, time) =>
        trace({ fact: 'run.developer.time', operator: 'lessThan', value: 25 }, { 'run.developer.time': time }),
      ),
    );
    expect(all.map((each) => each.fired)).toEqual(Array.from({ length: 50 }, (_, time) => time < 25));
  });

  test('names are walked, never evaluated', () => {
    expect(resolveDotted({ a: { b: [1, 2] } }, 'a.b.1')).toBe(2);
    for (const path of ['constructor', '__proto__.polluted', 'a.constructor.name', '$..a', 'a[?(@.b)]', 'toString'])
      expect(resolveDotted({ a: { b: 1 } }, path)).toBeUndefined();
  });
});
