import { expect, test } from '@jest/globals';
import { filmArea } from '../../src/events/film-size.js';
import { fixerLife, fixingTime } from '../../src/radiography/development/fixing.js';
import { answered } from './answer.js';

/**
 * T.O. 33B-1-1, 6.7.9: twice the clearing time at least, a quarter of an hour at most.
 * https://chemical-biological.tpub.com/TM-1-1500-335-23/css/TM-1-1500-335-23_584.htm
 */
test('a bath that clears in 2 minutes fixes in 4 (derived), in none longer than 15', () => {
  expect(answered(fixingTime(120))).toEqual({ least: 240, longest: 900, isTooSlow: false });
});

test.each([
  [450, false],
  [451, true],
])('clearing in %d s: changed instead of waited for is %s', (clearing, isTooSlow) => {
  expect(answered(fixingTime(clearing)).isTooSlow).toBe(isTooSlow);
});

/**
 * NAVEDTRA 14209, s. 10: exhausted when the clearing time is double its original value.
 * https://photographytraining.tpub.com/14209/css/Life-Of-A-Fixing-Bath-249.htm
 */
test.each([
  [120, 239, false],
  [120, 240, true],
  // 0.1 + 0.2 over 0.15 is a hair below two in binary, or above: it is two.
  [0.15, 0.1 + 0.2, true],
])('fresh %d s, now %d s: exhausted is %s', (fresh, latest, isExhausted) => {
  expect(answered(fixerLife(fresh, latest)).isExhausted).toBe(isExhausted);
});

/** Edges in mm, https://www.juniordentist.com/types-and-sizes-of-xray-films.html (other pages print 57 x 76 as size 2). */
test.each([
  ['0', 22, 35],
  ['1', 24, 40],
  ['2', 31, 41],
  ['3', 27, 54],
  ['4', 57, 76],
] as const)('film of size %s is %d by %d mm', (size, width, height) => {
  expect(filmArea(size)).toBe(width * height);
});
