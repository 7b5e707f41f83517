import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import {
  inferCauses,
  mostSigns,
  suppositions,
  type ModelledCause,
  type Seen,
} from '../../src/radiography/defects/inference.js';
import { isRefusal } from '../../src/refusal.js';
import { answered } from '../published/answer.js';

const cause = (id: string, prior: number, signs: Record<string, number>): ModelledCause => ({
  id,
  prior,
  signs: new Map(Object.entries(signs)),
});

/** The same by going through every set of causes at work: slow, plain, and written from the definition. */
function byHand(causes: readonly ModelledCause[], { seen, notSeen = [], odds }: Seen) {
  const all = new Set(causes.flatMap(({ signs }) => [...signs.keys()]));
  const chances = causes.map(() => 0);
  let [total, none] = [0, 0];
  for (let set = 0; set < 1 << causes.length; set++) {
    let chance = 1;
    causes.forEach(({ id, prior }, n) => {
      const factor = odds?.get(id) ?? 1;
      const own = (prior * factor) / (1 - prior + prior * factor);
      chance *= (set >> n) & 1 ? own : 1 - own;
    });
    const makes = (sign: string, weight = 1) =>
      causes.reduce((idle, { signs }, n) => ((set >> n) & 1 ? idle * (1 - weight * (signs.get(sign) ?? 0)) : idle), 1);
    for (const sign of seen) chance *= 1 - makes(sign) * (1 - suppositions.leak);
    for (const sign of all)
      if (notSeen.includes(sign)) chance *= makes(sign);
      else if (!seen.includes(sign)) chance *= makes(sign, suppositions.reported);
    total += chance;
    // None is at work of those that could have made one of the signs.
    if (!causes.some(({ signs }, n) => (set >> n) & 1 && seen.some((sign) => (signs.get(sign) ?? 0) > 0)))
      none += chance;
    causes.forEach((_, n) => {
      if ((set >> n) & 1) chances[n] = (chances[n] ?? 0) + chance;
    });
  }
  return { of: new Map(causes.map(({ id }, n) => [id, (chances[n] ?? 0) / total])), unknown: none / total };
}

const signs = ['light', 'dark', 'fog', 'cut', 'streaks'];
const probability = fc.double({ min: 0.01, max: 0.9, noNaN: true });
const models = fc
  .array(fc.record({ prior: probability, shows: fc.dictionary(fc.constantFrom(...signs), probability) }), {
    minLength: 1,
    maxLength: 6,
  })
  .map((list) => list.map(({ prior, shows }, n) => cause(`c${n}`, prior, shows)));
const seenSigns = fc.subarray(signs, { minLength: 1 });

describe('noisy-OR with a leak', () => {
  test('is what going through every set of causes gives', () => {
    fc.assert(
      fc.property(
        models,
        seenSigns,
        fc.subarray(signs),
        fc.array(fc.double({ min: 0.1, max: 20, noNaN: true }), { maxLength: 6 }),
        (causes, seen, other, factors) => {
          const odds = new Map(factors.map((factor, n) => [`c${n}`, factor]));
          const asked = { seen, notSeen: other.filter((sign) => !seen.includes(sign)), odds };
          const [fast, slow] = [answered(inferCauses(causes, asked)), byHand(causes, asked)];
          for (const { id, probability: own } of fast.causes) expect(own).toBeCloseTo(slow.of.get(id) ?? NaN, 9);
          expect(fast.unknown).toBeCloseTo(slow.unknown, 9);
        },
      ),
    );
  });

  test('one of two causes explains a sign, and the other is explained away', () => {
    const causes = [cause('cold', 0.1, { light: 0.9 }), cause('under', 0.1, { light: 0.9 })];
    const alone = answered(inferCauses(causes, { seen: ['light'] }));
    expect(alone.causes.map(({ probability: own }) => own)).toEqual([
      expect.closeTo(0.524, 2),
      expect.closeTo(0.524, 2),
    ]);
    const told = answered(inferCauses(causes, { seen: ['light'], odds: new Map([['cold', 100]]) }));
    expect(told.causes[0]).toMatchObject({ id: 'cold' });
    expect(told.causes[1]?.probability).toBeLessThan(0.2);
  });

  test('signs of two causes name both', () => {
    const causes = [
      cause('cold', 0.05, { light: 0.9 }),
      cause('beam', 0.05, { cut: 0.9 }),
      cause('old', 0.05, { fog: 0.9 }),
    ];
    const { causes: ranked } = answered(inferCauses(causes, { seen: ['light', 'cut'] }));
    expect(ranked.slice(0, 2).every(({ probability: own }) => own > 0.9)).toBe(true);
    expect(ranked[2]?.probability).toBeLessThan(0.05);
  });

  test('a sign that nobody lists is unknown, not guessed at', () => {
    const { causes, unknown } = answered(inferCauses([cause('cold', 0.1, { light: 0.9 })], { seen: ['moth-holes'] }));
    expect(unknown).toBeGreaterThan(0.9);
    expect(causes[0]?.probability).toBeLessThan(0.1);
  });

  test('what was looked for and not found counts against whoever would have made it', () => {
    const causes = [cause('back', 0.05, { light: 0.9, pattern: 0.9 }), cause('under', 0.05, { light: 0.9 })];
    const [open, closed] = [{ seen: ['light'] }, { seen: ['light'], notSeen: ['pattern'] }].map(
      (asked) => answered(inferCauses(causes, asked)).causes.find(({ id }) => id === 'back')?.probability ?? NaN,
    );
    expect(closed).toBeLessThan(open ?? 0);
    expect(closed).toBeLessThan(0.2);
  });
});

test('more evidence for a cause never makes it less likely', () => {
  fc.assert(
    fc.property(models, seenSigns, fc.double({ min: 1, max: 50, noNaN: true }), (causes, seen, factor) => {
      const of = (odds?: Map<string, number>) =>
        answered(inferCauses(causes, { seen, odds })).causes.find(({ id }) => id === 'c0')?.probability ?? NaN;
      expect(of(new Map([['c0', factor]]))).toBeGreaterThanOrEqual(of() - 1e-12);
    }),
  );
});

test('probabilities, for eight signs at once too; and refusals in words', () => {
  const eight = Array.from({ length: mostSigns }, (_, n) => `s${n}`);
  const causes = Array.from({ length: 40 }, (_, n) =>
    cause(`c${n}`, 0.02, Object.fromEntries(eight.filter((_each, k) => (n + k) % 3 === 0).map((sign) => [sign, 0.4]))),
  );
  const { causes: ranked, unknown } = answered(inferCauses(causes, { seen: eight }));
  for (const value of [unknown, ...ranked.map(({ probability: own }) => own)]) {
    expect(value).toBeGreaterThanOrEqual(0);
    expect(value).toBeLessThanOrEqual(1);
  }
  for (const asked of [
    { seen: [] },
    { seen: [...eight, 'one more'] },
    { seen: ['light'], notSeen: ['light'] },
    { seen: ['light', 'light'] },
    { seen: ['light'], odds: new Map([['c', NaN]]) },
  ])
    expect(isRefusal(inferCauses(causes, asked))).toBe(true);
});
