import { describe, expect, test } from '@jest/globals';
import { reproducibility, reproducibilityRules } from '../../src/radiography/tube-tests/reproducibility.js';
import { answered } from './answer.js';

/**
 * How codes ask that a unit repeats itself, each by its own words:
 * - Oregon, OAR 333-106-0315: coefficient of variation 0.05; met if of four exposures the mean is at least five times
 *   the range. https://oregon.public.law/rules/oar_333-106-0315
 * - Washington, WAC 246-225-090: coefficient of variation 0.05; the range of four at most a tenth of the mean.
 *   https://lawfilesext.leg.wa.gov/Law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225%20%20CHAPTER/WAC%20246%20-225%20-090.htm
 * Readings in mGy, of our own making.
 */
const verdicts = (readings: readonly number[]) => {
  const measured = answered(reproducibility(readings));
  return Object.fromEntries(Object.entries(reproducibilityRules).map(([name, isMet]) => [name, isMet(measured)]));
};

describe('two codes, one unit', () => {
  test('mean 1.00, range 0.20: met by the words of one range rule, not by the other', () => {
    expect(verdicts([0.9, 1, 1, 1.1])).toEqual({
      'variation-5-percent': false,
      'variation-10-percent': true,
      'mean-5-ranges': true,
      'range-10-percent': false,
    });
  });

  test('mean 1.00, range 0.10: met by all, at the edge of the tighter range rule', () => {
    expect(verdicts([0.95, 1, 1, 1.05])).toEqual({
      'variation-5-percent': true,
      'variation-10-percent': true,
      'mean-5-ranges': true,
      'range-10-percent': true,
    });
  });

  test('the edge of five ranges, and just beyond', () => {
    expect(verdicts([0.9, 0.95, 1.05, 1.1])['mean-5-ranges']).toBe(true);
    expect(verdicts([0.899, 0.95, 1.05, 1.101])['mean-5-ranges']).toBe(false);
  });

  test('the coefficient is of a sample: 9, 10, 10, 11 differ by the root of two thirds', () => {
    expect(answered(reproducibility([9, 10, 10, 11])).variation).toBeCloseTo(Math.sqrt(2 / 3) / 10, 12);
  });

  test.each([
    ['variation-5-percent', 0.05],
    ['variation-10-percent', 0.1],
  ] as const)('the edge of %s, and just beyond', (rule, edge) => {
    const measured = (variation: number) => ({ count: 10, mean: 2, variation, range: 1 });
    expect(reproducibilityRules[rule](measured(edge))).toBe(true);
    expect(reproducibilityRules[rule](measured(edge + 1e-6))).toBe(false);
  });

  test('the range rules are for four exposures, and the unit of the readings is of no matter', () => {
    expect(verdicts([0.9, 0.95, 1, 1.05, 1.1])).toMatchObject({
      'mean-5-ranges': undefined,
      'range-10-percent': undefined,
    });
    const inCoulomb = [1.875e-8, 2e-8, 2e-8, 2.125e-8];
    expect(verdicts(inCoulomb)).toEqual(verdicts(inCoulomb.map((each) => 1e8 * each)));
    expect(verdicts(inCoulomb)['range-10-percent']).toBe(false);
  });

  test('three exposures are too few for any of them', () => {
    expect(reproducibility([1, 1, 1])).toMatchObject({ refused: 'too-few' });
  });
});

/**
 * With the constant 2.059 of the mean range of four, a range of a fifth of the mean goes with a coefficient of 0.0971,
 * of a tenth with 0.0486 (derived). The coefficient of samples with such a range is near, not equal: it depends on where
 * the two middle readings lie.
 */
test.each([
  [0.2, 0.0971],
  [0.1, 0.0486],
])('a range of %d of the mean against a coefficient of about %d', (range, about) => {
  const half = range / 2;
  const variations = [0, 0.25, 0.5, 0.75, 1].map(
    (part) => answered(reproducibility([1 - half, 1 - part * half, 1 + part * half, 1 + half])).variation,
  );
  expect(Math.min(...variations)).toBeLessThan(about);
  expect(Math.max(...variations)).toBeGreaterThan(about);
  // The reference's own arithmetic.
  expect(range / 2.059).toBeCloseTo(about, 4);
});
