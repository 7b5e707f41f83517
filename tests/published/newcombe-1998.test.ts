import { describe, expect, test } from '@jest/globals';
import { differenceOf } from '../../src/statistics/difference.js';
import { wilson } from '../../src/statistics/wilson.js';
import { answered } from './answer.js';

/**
 * R. G. Newcombe, Statistics in Medicine 17 (1998), as public copies quote it and recomputed. Of the single proportions
 * only 81 of 263 is a row of his table; the others are quoted as values of Wilson's interval.
 */

describe('857-872, method 3: Wilson, 95 %', () => {
  test.each([
    [81, 263, 0.2553, 0.3662],
    [2, 10, 0.0567, 0.5098],
    [5, 10, 0.2366, 0.7634],
    [1, 10, 0.0179, 0.4042],
    [0, 10, 0, 0.2775],
    [10, 10, 0.7225, 1],
    [0, 8, 0, 0.3244],
    [0, 40, 0, 0.0876],
  ])('%d of %d', (count, total, low, high) => {
    const interval = answered(wilson(count, total));
    expect(interval.low).toBeCloseTo(low, 4);
    expect(interval.high).toBeCloseTo(high, 4);
  });
});

test('857-872, method 4: 81 of 263 with the correction for continuity', () => {
  const interval = answered(wilson(81, 263, { continuity: true }));
  expect(interval.low).toBeCloseTo(0.2535, 4);
  expect(interval.high).toBeCloseTo(0.3682, 4);
});

test.each([
  [56, 70, 48, 80, 0.0524, 0.3339],
  [0, 10, 0, 20, -0.1611, 0.2775],
])('873-890, method 10: %d of %d against %d of %d', (count, total, other, rest, low, high) => {
  const interval = answered(differenceOf(count, total, other, rest));
  expect(interval.low).toBeCloseTo(low, 4);
  expect(interval.high).toBeCloseTo(high, 4);
});
