import { describe, expect, test } from '@jest/globals';
import { blockMeans, leastSquares, student95 } from '../../bench/slope.js';

test('a straight line has its slope and no margin', () => {
  const { slope, margin } = leastSquares([0, 1, 2, 3, 4].map((x) => [x, 5 - 2 * x]));
  expect(slope).toBeCloseTo(-2, 12);
  expect(margin).toBeCloseTo(0, 6);
});

test('a scattered one has the margin of the textbook', () => {
  // Slope 0.6; residuals -0.2, 0.2, 0.6, -1.0, 0.4: s = sqrt(1.6 / 3), standard error s / sqrt(10).
  const { slope, margin, points } = leastSquares([2.2, 3.2, 4.2, 3.2, 5.2].map((y, x) => [x, y]));
  expect(points).toBe(5);
  expect(slope).toBeCloseTo(0.6, 12);
  expect(margin).toBeCloseTo(3.182 * Math.sqrt(1.6 / 3 / 10), 2);
});

test('two points say nothing of their scatter', () => {
  const two = leastSquares([
    [0, 1],
    [1, 4],
  ]);
  expect(two).toMatchObject({ slope: 3, margin: Infinity });
});

describe("Student's t, two-sided 95 %", () => {
  // M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 1964, table 26.10.
  test.each([
    [1, 12.706],
    [2, 4.303],
    [3, 3.182],
    [4, 2.776],
    [5, 2.571],
    [10, 2.228],
    [13, 2.16],
    [30, 2.042],
    [120, 1.98],
  ])('%i degrees of freedom', (df, t) => expect(Math.abs(student95(df) - t)).toBeLessThan(0.03));
});

test('means of blocks; a block that is hardly begun does not count', () => {
  const points = [0.1, 0.5, 0.9, 1.2, 1.6, 1.9, 2.1].map((x): [number, number] => [x, 10 * x]);
  const means = blockMeans(points, 1);
  expect(means.map(([x]) => x)).toEqual([0.5, 1.5]);
  expect(means[0]?.[1]).toBeCloseTo(5, 12);
});
