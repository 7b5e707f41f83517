import { describe, expect, test } from '@jest/globals';
import { charge, timeOfCharge } from '../../src/radiography/exposure/charge.js';
import { distanceFactor } from '../../src/radiography/exposure/distance.js';
import { areaProduct, coneEndKerma } from '../../src/radiography/exposure/kerma.js';
import { compareWithLevels, referenceLevels } from '../../src/radiography/exposure/reference-levels.js';
import { speedFactor } from '../../src/radiography/exposure/speed.js';
import { answered } from './answer.js';

/**
 * A question on the inverse square for dental assistants: target to film doubled to 16 in takes four times the time (the 8 in are inferred).
 * https://danb-radiationhealthandsafetyfourhundredquestions.examzify.com/question/when-the-target-source-film-b83ee879ad427cf2
 */
test('8 to 16 in: four times the time', () => {
  expect(distanceFactor(8 * 25.4, 16 * 25.4)).toBe(4);
  expect(distanceFactor(16, 8)).toBe(0.25);
});

/** Cards on radiography, chapter 11. https://api.brainscape.com/flashcards/chapter-11-16487855/packs/21764393 */
test.each([
  [100, 0.2],
  [200, 0.1],
])('%d mA for %d s are 20 mA s', (mA, s) => {
  expect(charge(mA, s)).toBeCloseTo(20, 9);
  expect(timeOfCharge(20, mA)).toBeCloseTo(s, 9);
});

/**
 * Survey of 102 machines in Korea: means 7.9 mA, 0.5 s, 2.11 mGy, 59.4 mGy cm2.
 * https://9884.visiontrading-hk.tech/FullText.aspx?id=96771330
 */
describe('means of the Korean survey', () => {
  const mean = { current: 7.9, time: 0.5, kerma: 2.11, product: 59.4 };
  const given = answered(charge(mean.current, mean.time));

  test('3.95 mA s, so 0.534 mGy for each (derived: a ratio of means)', () => {
    expect(given).toBeCloseTo(3.95, 9);
    expect(mean.kerma / given).toBeCloseTo(0.534, 3);
    expect(answered(coneEndKerma(0.534, given))).toBeCloseTo(mean.kerma, 2);
  });

  test('59.4 over 2.11 is a field of 28.2 cm2, 6 cm across (derived), and gives the product back', () => {
    const area = (100 * mean.product) / mean.kerma;
    expect(area / 100).toBeCloseTo(28.2, 1);
    expect(2 * Math.sqrt(area / Math.PI)).toBeCloseTo(59.9, 1);
    // A field of 60 mm across, 28.27 cm2, with the mean kerma.
    expect(answered(areaProduct(mean.kerma, 900 * Math.PI))).toBeCloseTo(59.7, 1);
  });
});

/**
 * F-speed film takes 25 % less exposure than E and 60 % less than D (a page that quotes the FDA).
 * https://education-academia.github.io/clinical-medicine/medicine/radiology/for-intraoral-x-rays-what-film-speed-is-the-fastest-and-reduces-the-amount-of-patient-exposure-to-radiation.html
 * The bands of the ISO speed (http://www.priory.com/den/films.htm) say a half for each group: the two disagree, so
 * whoever asks is told which was used.
 */
describe('another film speed', () => {
  test.each([
    ['E', 'F', 0.75],
    ['D', 'F', 0.4],
  ] as const)('published reductions: %s to %s leaves %d', (from, to, factor) => {
    expect(answered(speedFactor(from, to))).toBeCloseTo(factor, 9);
    expect(speedFactor(from, to, 'published-reductions')).toBe(speedFactor(from, to));
  });
  test.each([
    ['E', 'F', 0.5],
    ['D', 'F', 0.25],
    ['C', 'D', 0.5],
  ] as const)('bounds of the groups: %s to %s leaves %d', (from, to, factor) => {
    expect(speedFactor(from, to, 'group-bounds')).toBe(factor);
  });
  test('the reductions say nothing of C', () => {
    expect(speedFactor('C', 'F')).toMatchObject({ refused: 'not-told', of: 'from' });
    expect(speedFactor('F', 'C')).toMatchObject({ refused: 'not-told', of: 'to' });
  });
});

/**
 * Reference levels: Ireland 2.4 mGy (third quartile of 33 units), Korea 3.1 (its third quartile is 3.07), United Kingdom 2002-2004 2.4 (HPA-RPD-022).
 * https://iris.nuigalway.ie/live/!W_VA_PUBLICATION.POPUP?LAYOUT=N&OBJECT_ID=2196813
 * https://9884.visiontrading-hk.tech/FullText.aspx?id=96771330
 * https://www.gov.uk/government/publications/dental-x-ray-examinations-in-the-uk-2002-to-2004-a-review
 * Levels known from memory only (1.6, 1.7, 1.2, 0.7, 4 mGy) are not in the table.
 */
describe('reference levels', () => {
  test.each([
    ['ireland', 2.4],
    ['korea', 3.1],
    ['uk-2002-2004', 2.4],
  ])('%s: %d mGy', (id, level) => {
    expect(referenceLevels.find((each) => each.id === id)?.kerma).toBe(level);
  });
  test('no others', () => {
    expect(referenceLevels).toHaveLength(3);
  });
  test('the Korean third quartile, 3.07 mGy, is within its own level and above the other two', () => {
    const isWithin = answered(compareWithLevels(3.07)).map((each) => [each.level.id, each.isWithin]);
    expect(Object.fromEntries(isWithin)).toEqual({ ireland: false, korea: true, 'uk-2002-2004': false });
  });
  test('at the level is within it', () => {
    expect(answered(compareWithLevels(0.8 * 3)).map((each) => each.isWithin)).toEqual([true, true, true]);
  });
});
