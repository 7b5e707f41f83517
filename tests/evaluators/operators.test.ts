import { describe, expect, test } from '@jest/globals';
import type { Rung } from '../../src/packs/conditions/types.js';
import { operators } from '../../src/packs/operators/index.js';
import { operatorNames } from '../../src/packs/model.js';

const rungs = (text: string): Rung[] =>
  text
    .split(' ')
    .filter((word) => word !== '')
    .map((word) => {
      const [side, verdict] = word.split(':');
      return { side, verdict } as Rung;
    });

describe('operators', () => {
  test('there is one for each name of the language', () => {
    expect(Object.keys(operators).sort()).toEqual([...operatorNames].sort());
  });

  test.each([
    ['lessThan', 0.95 - 0.85, 0.1, false],
    ['lessThanInclusive', 0.1 + 0.2, 0.3, true],
    ['greaterThan', 0.1 + 0.2, 0.3, false],
    ['greaterThanInclusive', 0.95 - 0.85, 0.1, true],
    ['equal', (68 - 32) / 1.8, 20, true],
    ['notEqual', (68 - 32) / 1.8, 20, false],
    ['in', 0.1 + 0.2, [0.3, 0.5], true],
    ['notIn', 0.1 + 0.2, [0.3, 0.5], false],
    // Apart by more than the tolerance of 1e-9.
    ['equal', 1, 1 + 1e-8, false],
    ['lessThan', 1, 1 + 1e-8, true],
    ['greaterThan', 240.000001, 240, true],
    ['equal', 'manual', 'manual', true],
    ['equal', 1, '1', false],
    ['contains', 'chairside', 'side', true],
    ['doesNotContain', ['a', 'b'], 'a', false],
  ] as const)('%s(%p, %p) is %p', (name, fact, value, expected) => {
    expect(operators[name](fact, value)).toBe(expected);
  });

  test.each(operatorNames)('%s is not known for a fact that is missing', (name) => {
    const value =
      name === 'in' || name === 'notIn'
        ? [1]
        : ['below', 'above', 'outside'].includes(name)
          ? rungs('min:met max:met')
          : 1;
    expect(operators[name](undefined, value)).toBeUndefined();
  });

  test.each(['lessThan', 'lessThanInclusive', 'greaterThan', 'greaterThanInclusive'] as const)(
    '%s is not known for what is not a number',
    (name) => {
      for (const odd of [NaN, '5', null, true, [], {}]) {
        expect(operators[name](odd, 5)).toBeUndefined();
        expect(operators[name](5, odd)).toBeUndefined();
      }
    },
  );

  test.each([
    ['below', 'min:broken', true],
    ['below', 'min:met', false],
    ['below', 'min:met min:broken', true],
    ['below', 'min:unknown min:broken', true],
    ['below', 'min:met min:unknown', undefined],
    ['below', 'max:broken', undefined],
    ['below', '', undefined],
    ['above', 'max:broken min:met', true],
    ['above', 'max:met min:broken', false],
    ['above', 'max:unknown', undefined],
    ['above', 'min:met', undefined],
    ['outside', 'min:met max:met', false],
    ['outside', 'min:met max:broken', true],
    ['outside', 'min:unknown max:broken', true],
    ['outside', 'min:unknown max:met', undefined],
    ['outside', 'min:met', false],
    ['outside', '', undefined],
  ] as const)('%s a ladder of "%s" is %p', (name, ladder, expected) => {
    expect(operators[name](5, rungs(ladder))).toBe(expected);
  });
});
