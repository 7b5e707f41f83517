import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { decayed, halfLifeDays, moved, publishedWeight } from '../../../src/radiography/defects/learning.js';

const priors = new Map([
  ['cold', 0.02],
  ['tired', 0.05],
  ['short', 0.03],
]);
const sum = (map: ReadonlyMap<string, number>) => [...map.values()].reduce((all, one) => all + one, 0);

describe('priors moved by what was confirmed', () => {
  test('nothing confirmed: the published ones, the very same', () => {
    expect(moved(priors, new Map())).toBe(priors);
    expect(moved(priors, new Map([['unheard_of', 3]]))).toBe(priors);
  });

  test('by hand: five times cold beside a weight of twenty', () => {
    const now = moved(priors, new Map([['cold', 5]]));
    // (20 x 0.2 + 5) / 25 of a whole of 0.1
    expect(now.get('cold')).toBeCloseTo(0.036, 12);
    expect(now.get('tired')).toBeCloseTo(0.04, 12);
    expect(now.get('short')).toBeCloseTo(0.024, 12);
    expect(publishedWeight).toBe(20);
  });

  test('half a year halves a weight; no time leaves it whole', () => {
    expect(decayed(3, halfLifeDays)).toBeCloseTo(1.5, 12);
    expect(decayed(3, 0)).toBe(3);
  });

  const counts = fc.dictionary(fc.constantFrom('cold', 'tired', 'short'), fc.double({ min: 0, max: 50, noNaN: true }));

  test('they share the same whole, stay probabilities, and a cause confirmed once more is never less likely', () => {
    fc.assert(
      fc.property(counts, fc.constantFrom('cold', 'tired', 'short'), (own, cause) => {
        const confirmed = new Map(Object.entries(own));
        const now = moved(priors, confirmed);
        expect(sum(now)).toBeCloseTo(sum(priors), 9);
        for (const prior of now.values()) expect(prior > 0 && prior < 1).toBe(true);
        const more = moved(priors, new Map([...confirmed, [cause, (confirmed.get(cause) ?? 0) + 1]]));
        expect(more.get(cause) ?? 0).toBeGreaterThan((now.get(cause) ?? 0) - 1e-12);
      }),
    );
  });
});
