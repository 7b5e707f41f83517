import { describe, expect, test } from '@jest/globals';
import { contrastIndex, contrastSteps } from '../../src/radiography/sensitometry/comparison.js';
import { opticalDensity } from '../../src/radiography/sensitometry/density.js';
import { fogState, isSteepEnough } from '../../src/radiography/sensitometry/film-standard.js';
import { isoSpeed, kermaOfSpeed, speedGroup } from '../../src/radiography/sensitometry/speed.js';
import { answered } from './answer.js';

/**
 * A dental journal online: S = 0.01 / Ks, Ks in gray at net density 1.00; bands 7-14, 14-28, 28-56, 56-112; a film of
 * 55 is of group E, one of 57 of group F. http://www.priory.com/den/films.htm
 * The older scale in reciprocal roentgens (6-12 and so on) is known from memory only and is not used.
 */
describe('ISO speed', () => {
  test.each([
    [7, 1.4286],
    [14, 0.7143],
    [28, 0.3571],
    [56, 0.1786],
    [112, 0.0893],
  ])('a speed of %d takes %d mGy (derived)', (speed, kerma) => {
    expect(answered(kermaOfSpeed(speed))).toBeCloseTo(kerma, 4);
    // The printed digits give the speed back to a thousandth of it.
    expect(answered(isoSpeed(kerma)) / speed).toBeCloseTo(1, 3);
  });

  test.each([
    [55, 'E'],
    [57, 'F'],
  ])('a film of %d is of group %s', (speed, group) => {
    expect(speedGroup(speed)).toBe(group);
  });

  // A value on an edge is printed in both bands. Ours goes up.
  test.each([
    [7, 'C'],
    [13.99, 'C'],
    [14, 'D'],
    [28, 'E'],
    [56, 'F'],
    [112, 'F'],
  ])('the edge: %d is %s', (speed, group) => {
    expect(speedGroup(speed)).toBe(group);
  });

  test.each([6.99, 112.1, 0, -14, NaN, Infinity])('%d is in no band', (speed) => {
    expect(speedGroup(speed)).toMatchObject({ refused: 'outside-bands' });
  });
});

/**
 * ISO 3665:2011, 5.2.6.3, 5.2.7 and 5.2.8, public extracts. https://mandarinseed.com/a/BS/570.html ;
 * https://japan-ppt.com/?p=4519 (the two print 0.05 and, by bad recognition, 0.06 for the fog of a monobath, which is
 * not used here)
 */
describe('ISO 3665', () => {
  test('average gradient greater than 1.50: at 1.50 it is not', () => {
    expect(isSteepEnough(1.5)).toBe(false);
    expect(isSteepEnough(1.51)).toBe(true);
    // 0.1 + 0.2 + 1.2 is a hair above 1.5 in binary.
    expect(isSteepEnough(0.1 + 0.2 + 1.2)).toBe(false);
  });
  test.each([
    [0.25, 'asNew'],
    [0.26, 'aged'],
    [0.4, 'aged'],
    [0.41, 'expired'],
  ])('base plus fog %d: %s', (density, state) => {
    expect(fogState(density)).toBe(state);
  });
});

/**
 * T.O. 33B-1-1, 6.4.1.4: density is log10(I0 / I).
 * https://chemical-biological.tpub.com/TM-1-1500-335-23/css/TM-1-1500-335-23_533.htm
 */
test.each([
  [100, 10, 1],
  [100, 1, 2],
  [5, 5, 0],
])('of %d comes through %d: density %d', (incident, transmitted, density) => {
  expect(answered(opticalDensity(incident, transmitted))).toBeCloseTo(density, 12);
});

/**
 * A dealer's procedure for general radiography, borrowed: contrast is told between the step nearest but not below 0.45
 * and the one nearest but not above 2.20. http://www.hrsimon.com/generalqc.html
 */
test('contrast index', () => {
  const densities = [0.2, 0.3, 0.44, 0.45, 0.9, 1.6, 2.2, 2.21, 3];
  expect(contrastSteps(densities)).toEqual([3, 6]);
  expect(contrastIndex(densities, [3, 6])).toBeCloseTo(1.75, 9);
  expect(contrastSteps([0.2, 0.3, 0.4])).toBeUndefined();
});
