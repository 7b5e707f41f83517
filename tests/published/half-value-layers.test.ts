import { describe, expect, test } from '@jest/globals';
import { isRefusal } from '../../src/refusal.js';
import { beamColumn, isFiltered, leastHalfValueLayer } from '../../src/radiography/tube-tests/half-value-layer.js';
import { answered } from './answer.js';

/**
 * Illinois, 32 IAC 360 Table B with its footnote 1, a state's copy of the federal performance standard.
 * http://ilrules.elaws.us/iac/t32_pt360_sec.360.tableb
 */
describe('32 IAC 360 Table B', () => {
  test.each([
    [30, 1.5, 0.3],
    [40, 1.5, 0.4],
    [49, 1.5, 0.5],
    [50, 1.5, 1.2],
    [60, 1.5, 1.3],
    [70, 1.5, 1.5],
    [71, 2.1, 2.1],
    [80, 2.3, 2.3],
    [90, 2.5, 2.5],
    [100, 2.7, 2.7],
    [110, 3, 3],
    [120, 3.2, 3.2],
    [130, 3.5, 3.5],
    [140, 3.8, 3.8],
    [150, 4.1, 4.1],
  ])('%d kV: %d mm intraoral, %d mm other', (kV, intraoral, other) => {
    expect(leastHalfValueLayer(kV, 'intraoral')).toBe(intraoral);
    expect(leastHalfValueLayer(kV, 'other')).toBe(other);
  });

  test.each([
    [20, 0.2],
    [95, 2.6],
  ])('its own examples between and beyond rows: %d kV, %d mm', (kV, least) => {
    expect(answered(leastHalfValueLayer(kV, 'other'))).toBeCloseTo(least, 9);
  });

  test('75 kV of an intraoral unit lies on the line from 71 to 80: 2.189 (derived)', () => {
    expect(answered(leastHalfValueLayer(75, 'intraoral'))).toBeCloseTo(2.189, 3);
  });

  // A line from 70 to 71 would answer 1.8 at 70.5, which is a value of neither design range.
  test.each([
    [70.5, 'intraoral'],
    [70.5, 'other'],
    [49.5, 'other'],
  ] as const)('no line across the step: %d kV, %s', (kV, column) => {
    expect(leastHalfValueLayer(kV, column)).toMatchObject({ refused: 'between-ranges', of: 'voltage' });
  });

  test('between 49 and 50 the intraoral column has no step', () => {
    expect(leastHalfValueLayer(49.5, 'intraoral')).toBe(1.5);
  });

  test.each([19, 151, -70, NaN, Infinity])('outside the table: %d kV', (kV) => {
    expect(leastHalfValueLayer(kV, 'other')).toMatchObject({ refused: 'outside-table' });
  });

  test('the first column is for intraoral units made after 1 December 1980', () => {
    expect(beamColumn(true, '1980-12-01')).toBe('other');
    expect(beamColumn(true, '1980-12-02')).toBe('intraoral');
    expect(beamColumn(false, '1999-01-01')).toBe('other');
    expect(beamColumn(true, '12/05/1990')).toMatchObject({ refused: 'not-a-date' });
  });

  test('at its edge a rule is met', () => {
    expect(isFiltered(1.5, 70, 'intraoral')).toBe(true);
    expect(isFiltered(1.49, 70, 'intraoral')).toBe(false);
    // 0.1 + 0.2 and the like: 2.0 + 0.1 in binary is not below 2.1.
    expect(isFiltered(0.7 * 3, 71, 'intraoral')).toBe(true);
    expect(isRefusal(isFiltered(0, 70, 'intraoral'))).toBe(true);
  });
});

/**
 * Washington, WAC 246-225A-060 Table 1: 1.5 mm at 70 kV and below, then four rows of the same.
 * http://www.mrsc.org/mc/wac/wac%20246%20%20title/wac%20246%20-225a%20chapter/wac%20246%20-225a-060.htm
 */
test.each([
  [50, 1.5],
  [60, 1.5],
  [70, 1.5],
  [71, 2.1],
  [80, 2.3],
  [90, 2.5],
  [100, 2.7],
])('WAC 246-225A-060 Table 1: %d kV, %d mm', (kV, least) => {
  expect(leastHalfValueLayer(kV, 'intraoral')).toBe(least);
});
