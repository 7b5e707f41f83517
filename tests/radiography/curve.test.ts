import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { averageGradient, exposureFor, fitCurve, speedPoint } from '../../src/radiography/sensitometry/curve.js';
import { isRefusal } from '../../src/refusal.js';
import { answered } from '../published/answer.js';
import { normals, numbersIn, wild } from '../support/numbers.js';

/** Net density of film that x-rays expose directly: each grain is hit or it is not, so it saturates exponentially. Not the engine's form. */
const byHits = (most: number, exposure: number, half: number) => most * (1 - 2 ** (-exposure / half));
/** The engine's own form. */
const sigmoid = (most: number, exposure: number, middle: number, steepness: number) =>
  most / (1 + (exposure / middle) ** -steepness);

/** Fourteen steps, each 1.5 times the one before. */
const exposures = Array.from({ length: 14 }, (_, step) => 0.005 * 1.5 ** step);

const fog = 0.2;
const strip = (net: (exposure: number) => number, noise: readonly number[] = []) =>
  exposures.map((exposure, index) => ({ exposure, density: Math.max(0, fog + net(exposure) + (noise[index] ?? 0)) }));

describe('a curve of the fitted form', () => {
  const shapes = fc.record({
    most: fc.double({ min: 2.5, max: 5, noNaN: true }),
    middle: fc.double({ min: 0.15, max: 0.5, noNaN: true }),
    steepness: fc.double({ min: 0.8, max: 2.5, noNaN: true }),
  });

  test('is found again, and exposure and density invert each other', () => {
    fc.assert(
      fc.property(shapes, ({ most, middle, steepness }) => {
        const net = (exposure: number) => sigmoid(most, exposure, middle, steepness);
        const curve = answered(fitCurve(fog, strip(net)));
        expect(curve.residual).toBeLessThan(1e-3);
        const speed = answered(speedPoint(curve));
        expect(Math.abs(net(speed) - 1)).toBeLessThan(5e-3);
        for (const each of [0.5, 1, 1.5])
          expect(Math.abs(net(answered(exposureFor(curve, each))) - each)).toBeLessThan(0.01);
      }),
      { numRuns: 60 },
    );
  });

  test('is found within reading error of a densitometer, 0.02', () => {
    fc.assert(
      fc.property(shapes, fc.integer({ min: 0, max: 1e6 }), ({ most, middle, steepness }, seed) => {
        const net = (exposure: number) => sigmoid(most, exposure, middle, steepness);
        const noise = normals(exposures.length, `strip ${seed}`).map((each) => 0.02 * each);
        const curve = fitCurve(fog, strip(net, noise));
        // Noise may make a step in the toe lighter than the one before by more than can be: then it is refused, in words.
        if (isRefusal(curve)) return expect(curve.refused).toBe('not-rising');
        const speed = answered(speedPoint(curve));
        expect(Math.abs(net(speed) - 1)).toBeLessThan(0.06);
      }),
      { numRuns: 60 },
    );
  });
});

test('a curve of another law, exponential saturation: speed point within 0.06 in density, average gradient within a tenth', () => {
  for (const half of [0.15, 0.25, 0.4]) {
    const net = (exposure: number) => byHits(4, exposure, half);
    const curve = answered(fitCurve(fog, strip(net)));
    const speed = answered(speedPoint(curve));
    expect(Math.abs(net(speed) - 1)).toBeLessThan(0.06);
    const exact = 1.75 / Math.log10(Math.log2(1 - 2 / 4) / Math.log2(1 - 0.25 / 4));
    expect(Math.abs(answered(averageGradient(curve)) / exact - 1)).toBeLessThan(0.1);
  }
});

test('more exposure at the same film needs none of it: the speed point moves by the factor of the exposures', () => {
  const net = (exposure: number) => byHits(4, exposure, 0.25);
  const steps = strip(net);
  const one = answered(speedPoint(answered(fitCurve(fog, steps))));
  const other = answered(
    speedPoint(
      answered(
        fitCurve(
          fog,
          steps.map((each) => ({ ...each, exposure: 10 * each.exposure })),
        ),
      ),
    ),
  );
  expect(other / one).toBeCloseTo(10, 4);
});

describe('strips that tell no curve', () => {
  const steps = strip((exposure) => byHits(4, exposure, 0.25));
  const change = (at: number, with_: Partial<{ exposure: number; density: number }>) =>
    steps.map((each, index) => (index === at ? { ...each, ...with_ } : each));

  test.each([
    ['flat', steps.map((each) => ({ ...each, density: 0.4 })), 'flat', 'density'],
    ['four steps', steps.slice(0, 4), 'too-few', 'exposure'],
    ['two steps swapped', change(6, { density: 0.3 }), 'not-rising', 'density[6]'],
    ['exposures out of order', change(4, { exposure: 0.01 }), 'not-rising', 'exposure[4]'],
    ['an exposure of nothing', change(0, { exposure: 0 }), 'not-positive', 'exposure[0]'],
    ['a density beyond film', change(13, { density: 9 }), 'out-of-range', 'density[13]'],
    ['a density that is none', change(3, { density: NaN }), 'not-a-number', 'density[3]'],
  ])('%s', (_, given, refused, of) => {
    expect(fitCurve(fog, given)).toMatchObject({ refused, of });
  });

  test('three shelves with leaps between them are no characteristic curve of film', () => {
    const shelves = exposures.map((exposure, index) => ({
      exposure,
      density: fog + (index < 5 ? 0 : index < 10 ? 1.2 : 3.4),
    }));
    expect(fitCurve(fog, shelves)).toMatchObject({ refused: 'no-fit' });
  });

  test('base plus fog as dark as the darkest step, or darker, is another strip’s', () => {
    const light = exposures.map((exposure, index) => ({ exposure, density: 0.2 + 0.8 * (index / 13) }));
    for (const other of [1, 0.9, 3]) expect(fitCurve(other, light)).toMatchObject({ refused: 'flat' });
  });

  test('a density that the strip never shows is not read off the curve', () => {
    const short = answered(fitCurve(fog, steps.slice(0, 9)));
    expect(short.to).toBeLessThan(2);
    expect(averageGradient(short)).toMatchObject({ refused: 'outside-strip', of: 'net' });
  });
});

test('a strip in its order, read against any base plus fog, ends in a curve or in words', () => {
  const density = fc.double({ min: 0, max: 4, noNaN: true });
  fc.assert(
    fc.property(density, fc.array(density, { minLength: 5, maxLength: 12 }), (base, read) => {
      const rising = [...read]
        .sort((a, b) => a - b)
        .map((each, index) => ({ exposure: 0.01 * 1.5 ** index, density: each }));
      const curve = fitCurve(base, rising);
      if (!isRefusal(curve)) expect(numbersIn(curve).filter((each) => !Number.isFinite(each))).toEqual([]);
    }),
    { numRuns: 500 },
  );
});

test('whatever is put in, the fit ends and holds no NaN', () => {
  fc.assert(
    fc.property(wild, fc.array(fc.record({ exposure: wild, density: wild }), { maxLength: 8 }), (base, steps) => {
      const curve = fitCurve(base, steps);
      if (!isRefusal(curve)) expect(numbersIn(curve).filter((each) => !Number.isFinite(each))).toEqual([]);
    }),
    { numRuns: 300 },
  );
});
