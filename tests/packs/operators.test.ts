import { describe, expect, test } from '@jest/globals';
import { operators } from '../../src/packs/operators/index.js';

describe('lists and texts', () => {
  test.each([
    ['in', 'manual', ['automatic', 'manual'], true],
    ['in', 'chairside', ['automatic', 'manual'], false],
    ['in', 'chairside', [], false],
    ['notIn', 'chairside', ['automatic', 'manual'], true],
    ['contains', ['fog', 'light-leak'], 'fog', true],
    ['contains', ['light-leak'], 'fog', false],
    ['contains', [], 'fog', false],
    ['contains', [0.1 + 0.2], 0.3, true],
    ['contains', 'rapid', 'standard', false],
    ['doesNotContain', 'rapid', 'standard', true],
    ['equal', '1', 1, false],
    ['equal', 'manual', 1, false],
    ['equal', 1, 'manual', false],
    ['equal', true, true, true],
    ['equal', null, null, true],
  ] as const)('%s(%p, %p) is %p', (name, fact, value, expected) => {
    expect(operators[name](fact, value)).toBe(expected);
  });
});

describe('not known', () => {
  test.each([
    ['equal', undefined, 1],
    ['equal', 1, undefined],
    ['notEqual', undefined, undefined],
    ['in', undefined, ['a']],
    ['in', 'a', undefined],
    ['in', 'a', 'abc'],
    ['notIn', undefined, ['a']],
    ['contains', ['a'], undefined],
    ['contains', 'a', undefined],
    ['contains', 'a1', 1],
    ['contains', 12, 1],
    ['contains', undefined, 'a'],
    ['doesNotContain', ['a'], undefined],
    ['doesNotContain', 12, 1],
  ] as const)('%s(%p, %p)', (name, fact, value) => {
    expect(operators[name](fact, value)).toBeUndefined();
  });
});
