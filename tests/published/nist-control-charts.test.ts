import { expect, test } from '@jest/globals';
import { cusum } from '../../src/statistics/cusum.js';
import { ewma } from '../../src/statistics/ewma.js';
import { individuals, movingRanges } from '../../src/statistics/individuals.js';
import { pChart } from '../../src/statistics/p-chart.js';
import { answered } from './answer.js';

/** NIST/SEMATECH e-Handbook of Statistical Methods, https://www.itl.nist.gov/div898/handbook/pmc/section3/ */

const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

test('individuals and moving range, 6.3.2.2 (pmc322.htm): ten batches', () => {
  const chart = answered(individuals(flow));
  expect(chart.centre).toBeCloseTo(50.81, 10);
  expect(chart.movingRange).toBeCloseTo(1.8778, 4);
  expect(chart.high).toBeCloseTo(55.8041, 4);
  expect(chart.low).toBeCloseTo(45.8159, 4);
  expect(chart.movingRangeHigh).toBeCloseTo(6.1347, 3);
  [2, 2.3, 1.4, 3.5, 3.4, 1.4, 0.2, 1.2, 1.5].forEach((range, index) =>
    expect(movingRanges(flow)[index]).toBeCloseTo(range, 10),
  );
  expect(flow.filter((value) => value > chart.high || value < chart.low)).toEqual([]);
});

test('EWMA, 6.3.2.4 (pmc324.htm): twenty values, lambda 0.3', () => {
  const values = [52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, ...flow];
  const printed = [
    50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92,
    50.73, 51.23, 51.94, 51.99,
  ];
  const chart = answered(ewma(values, { lambda: 0.3, centre: 50, spread: 2.0539 }));
  printed.forEach((mean, index) =>
    expect(Math.abs((chart.means[index] ?? NaN) - mean)).toBeLessThanOrEqual(0.005 + 1e-9),
  );
  expect(chart.high).toBeCloseTo(52.5884, 4);
  // Printed as 47.4115, cut off: the value is 47.41157.
  expect(Math.abs(chart.low - 47.4115)).toBeLessThan(1e-4);
  expect(chart.means.filter((mean) => mean > chart.high || mean < chart.low)).toEqual([]);
});

test('tabular CUSUM, 6.3.2.3 (pmc323.htm): twenty groups, target 325', () => {
  const values = [
    324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325,
    327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35,
  ];
  const high = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16, 19.04];
  const low = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0];
  const plain = [
    -0.07, -0.4, -0.67, -1.32, -0.97, -0.75, -1.62, -2.1, -1.87, -2.27, -2.65, -2.5, 0.83, 3.08, 5.9, 9.4, 11.08, 13.85,
    15.73, 19.08,
  ];
  const chart = answered(cusum(values, { target: 325, slack: 0.3175, decision: 4.1959 }));
  // Halves are printed rounded either way: 14.445 as 14.44, 19.035 as 19.04.
  const near = (value: number | undefined, printed: number) =>
    expect(Math.abs((value ?? NaN) - printed)).toBeLessThanOrEqual(0.005 + 1e-9);
  high.forEach((sum, index) => near(chart.sums[index]?.high, sum));
  low.forEach((sum, index) => near(chart.sums[index]?.low, sum));
  plain.forEach((sum, index) => near(chart.plain[index], sum));
  expect(chart.signals.map((index) => index + 1)).toEqual([14, 15, 16, 17, 18, 19, 20]);
});

test('proportions, 6.3.3.2 (pmc332.htm): thirty wafers of fifty chips', () => {
  const defective = [
    12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6,
  ];
  const chart = answered(pChart(defective.map((count) => ({ count, total: 50 }))));
  expect(chart.centre).toBeCloseTo(0.2313, 4);
  // Elsewhere printed as 0.4103; the value is 0.410239.
  expect(chart.points[0]?.high).toBeCloseTo(0.4102, 4);
  expect(chart.points[0]?.low).toBeCloseTo(0.0524, 4);
  expect(chart.points.flatMap(({ isBeyond }, index) => (isBeyond ? [index + 1] : []))).toEqual([15, 23]);
});
