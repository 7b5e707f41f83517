import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { isRefusal } from '../../src/refusal.js';
import { chanceOfAtLeast, chanceOfAtMost, exactInterval } from '../../src/statistics/binomial.js';
import { cusum, cusumStep } from '../../src/statistics/cusum.js';
import { differenceOf } from '../../src/statistics/difference.js';
import { crossing, drift } from '../../src/statistics/drift.js';
import { ewma, ewmaStep } from '../../src/statistics/ewma.js';
import { fisher, fisherGreater } from '../../src/statistics/fisher.js';
import { funnelLimits, isOutsideFunnel } from '../../src/statistics/funnel.js';
import { individuals } from '../../src/statistics/individuals.js';
import { pareto } from '../../src/statistics/pareto.js';
import { pChart } from '../../src/statistics/p-chart.js';
import { runRules, signalsOf } from '../../src/statistics/run-rules.js';
import { shiftOf } from '../../src/statistics/shift.js';
import { wilson } from '../../src/statistics/wilson.js';
import { answered } from '../published/answer.js';
import { normals, numbersIn, wild } from '../support/numbers.js';

const counts = fc
  .integer({ min: 1, max: 400 })
  .chain((total) => fc.tuple(fc.integer({ min: 0, max: total }), fc.constant(total)));
const reading = fc.double({ min: -100, max: 100, noNaN: true });
const readings = fc.array(reading, { minLength: 5, maxLength: 40 });

describe('intervals of a share', () => {
  test('hold the share, and the wider level holds the narrower one', () => {
    fc.assert(
      fc.property(counts, ([count, total]) => {
        for (const of of [
          (level: number) => wilson(count, total, { level }),
          (level: number) => wilson(count, total, { level, continuity: true }),
          (level: number) => exactInterval(count, total, level),
        ]) {
          const [narrow, wide] = [answered(of(0.9)), answered(of(0.99))];
          for (const { low, high } of [narrow, wide]) {
            expect(low).toBeLessThanOrEqual(count / total + 1e-12);
            expect(high).toBeGreaterThanOrEqual(count / total - 1e-12);
            expect(low).toBeGreaterThanOrEqual(0);
            expect(high).toBeLessThanOrEqual(1);
          }
          expect(wide.low).toBeLessThanOrEqual(narrow.low + 1e-12);
          expect(wide.high).toBeGreaterThanOrEqual(narrow.high - 1e-12);
        }
      }),
    );
  });

  test('the exact interval is where the exact tests turn', () => {
    fc.assert(
      fc.property(counts, ([count, total]) => {
        const { low, high } = answered(exactInterval(count, total));
        if (count > 0) expect(answered(chanceOfAtLeast(count, total, low))).toBeCloseTo(0.025, 6);
        if (count < total) expect(answered(chanceOfAtMost(count, total, high))).toBeCloseTo(0.025, 6);
      }),
    );
  });

  test('a difference turns its sign with its sides', () => {
    fc.assert(
      fc.property(counts, counts, ([a, n], [b, m]) => {
        const [one, other] = [answered(differenceOf(a, n, b, m)), answered(differenceOf(b, m, a, n))];
        expect(one.low).toBeCloseTo(-other.high, 10);
        expect(one.difference).toBeCloseTo(-other.difference, 10);
      }),
    );
  });
});

describe("Fisher's exact test", () => {
  const few = fc
    .integer({ min: 1, max: 40 })
    .chain((total) => fc.tuple(fc.integer({ min: 0, max: total }), fc.constant(total)));
  test('at least so many here is at most so few there; two-sided it has no sides', () => {
    fc.assert(
      fc.property(few, few, ([a, n], [b, m]) => {
        // Of the complement: as many unmarked there as it takes.
        expect(answered(fisherGreater(a, n, b, m))).toBeCloseTo(answered(fisherGreater(m - b, m, n - a, n)), 9);
        expect(answered(fisher(a, n, b, m))).toBeCloseTo(answered(fisher(b, m, a, n)), 9);
      }),
    );
  });
  test('more here is less likely', () => {
    fc.assert(
      fc.property(few, few, ([a, n], [b, m]) => {
        if (a === 0 || b === m) return;
        expect(answered(fisherGreater(a, n, b, m))).toBeLessThanOrEqual(
          answered(fisherGreater(a - 1, n, b + 1, m)) + 1e-12,
        );
      }),
    );
  });
});

describe('control charts', () => {
  test('one reading more is the same as all at once', () => {
    fc.assert(
      fc.property(readings, (values) => {
        const { means } = answered(ewma(values, { lambda: 0.2, centre: 0, spread: 1 }));
        expect(means.at(-1)).toBeCloseTo(
          values.reduce((mean, value) => ewmaStep(mean, value, 0.2), 0),
          10,
        );
        const options = { target: 0, slack: 0.5, decision: 4 };
        const step = values.reduce((sums, value) => cusumStep(sums, value, options), { high: 0, low: 0 });
        expect(answered(cusum(values, options)).sums.at(-1)).toEqual(step);
      }),
    );
  });

  test('a chart moves and stretches with its readings', () => {
    fc.assert(
      fc.property(readings, fc.double({ min: 0.1, max: 10, noNaN: true }), reading, (values, by, plus) => {
        const chart = answered(individuals(values));
        const other = answered(individuals(values.map((value) => by * value + plus)));
        expect(other.high).toBeCloseTo(by * chart.high + plus, 6);
        expect(other.low).toBeCloseTo(by * chart.low + plus, 6);
      }),
    );
  });

  test('run rules have no preferred side', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -40, max: 40 }), { maxLength: 30 }), (tenths) => {
        const values = tenths.map((value) => value / 10);
        const mirrored = values.map((value) => -value);
        expect(answered(signalsOf(mirrored, runRules))).toEqual(answered(signalsOf(values, runRules)));
      }),
    );
  });

  test('all rules of a set together cry wolf several times as often as three standard deviations alone', () => {
    const deviates = normals(40_000, 'wolf');
    const alarms = (names: Parameters<typeof signalsOf>[1]) => {
      let alarms = 0;
      for (let from = 0; from + 40 <= deviates.length; from += 40) {
        const found = answered(signalsOf(deviates.slice(from, from + 40), names));
        alarms += new Set(found.map(({ at }) => at)).size;
      }
      return alarms / deviates.length;
    };
    const alone = alarms(['beyond-3-sigma']);
    expect(1 / alone).toBeGreaterThan(250);
    expect(1 / alone).toBeLessThan(550);
    const all = alarms([
      'beyond-3-sigma',
      'western-electric-2-of-3',
      'western-electric-4-of-5',
      'western-electric-8-one-side',
    ]);
    expect(all / alone).toBeGreaterThan(3);
  });

  test('a funnel narrows with the number it rests on', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        fc.integer({ min: 1, max: 5000 }),
        (share, total) => {
          const [few, more] = [total, 2 * total].map((each) => answered(funnelLimits(share, each, 0.95)));
          expect((more?.high ?? 1) - (more?.low ?? 0)).toBeLessThanOrEqual((few?.high ?? 1) - (few?.low ?? 0) + 1e-12);
        },
      ),
    );
  });
});

describe('drift', () => {
  const line = ({ slope, noise }: { slope: number; noise: readonly number[] }) =>
    noise.map((each, day) => ({ time: day - 19, value: slope * (day - 19) + 0.3 * each }));

  test('a line without noise is found, and reaches its limit when it does', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 5, noNaN: true }),
        fc.double({ min: 1, max: 50, noNaN: true }),
        (slope, ahead) => {
          const found = answered(drift([-8, -6, -3, -1, 0].map((time) => ({ time, value: slope * time }))));
          expect(found.slope).toBeCloseTo(slope, 8);
          expect(answered(crossing(found, slope * ahead, 0)).time).toBeCloseTo(ahead, 6);
        },
      ),
    );
  });

  test('its interval holds the true slope, and that of the crossing the true day, about nineteen times of twenty', () => {
    const made = Array.from({ length: 1000 }, (_, n) => ({
      slope: 0.1 + (n % 10) / 10,
      noise: normals(20, `line ${n}`),
    }));
    const held = made.filter((each) => {
      const found = answered(drift(line(each)));
      return found.slopeLow <= each.slope && each.slope <= found.slopeHigh;
    });
    expect(held.length / made.length).toBeGreaterThan(0.93);
    expect(held.length / made.length).toBeLessThan(0.97);
    const foreseen = made.flatMap((each) => {
      const found = crossing(answered(drift(line(each))), each.slope * 10, 0);
      return isRefusal(found) ? [] : [found.earliest <= 10 && 10 <= found.latest];
    });
    expect(foreseen.length).toBeGreaterThan(900);
    expect(foreseen.filter((isHeld) => isHeld).length / foreseen.length).toBeGreaterThan(0.92);
  });

  test('what does not drift, drifts away or is there already crosses nothing, and says which', () => {
    const level = answered(drift([0, 1, 2, 3, 4].map((time) => ({ time, value: time % 2 }))));
    expect(crossing(level, 10, 4)).toMatchObject({ refused: 'no-drift' });
    const rising = answered(drift([0, 1, 2, 3, 4].map((time) => ({ time, value: time }))));
    expect(crossing(rising, -10, 4)).toMatchObject({ refused: 'leads-away' });
    expect(crossing(rising, 3, 4)).toMatchObject({ refused: 'beyond' });
  });

  test('a new lot shifts the aim by the difference of the means, back again by as much', () => {
    fc.assert(
      fc.property(readings, readings, (old, fresh) => {
        const [there, back] = [answered(shiftOf(old, fresh)), answered(shiftOf(fresh, old))];
        expect(there.shift).toBeCloseTo(-back.shift, 8);
        expect(there.low <= there.shift && there.shift <= there.high).toBe(true);
      }),
    );
    expect(shiftOf([1, 2, 3, 4], [1, 2, 3, 4, 5])).toMatchObject({ refused: 'too-few', of: 'old' });
  });
});

test('whatever is put in, no answer holds a NaN or an infinity', () => {
  fc.assert(
    fc.property(fc.array(wild, { maxLength: 12 }), wild, wild, wild, wild, (values, a, b, c, d) => {
      const pairs = values.map((value, index) => ({ time: index % 2 === 0 ? index : a, value }));
      const line = drift(pairs, { leastScatter: Math.abs(b) });
      for (const answer of [
        individuals(values),
        individuals(values, a),
        ewma(values, { lambda: a, centre: b, spread: c }),
        cusum(values, { target: a, slack: b, decision: c }),
        pChart(values.map((count) => ({ count, total: a }))),
        signalsOf(values, runRules),
        wilson(a, b, { level: c }),
        wilson(a, b, { level: c, continuity: true }),
        chanceOfAtLeast(a, b, c),
        chanceOfAtMost(a, b, c),
        exactInterval(a, b, c),
        differenceOf(a, b, c, d),
        fisherGreater(a, b, c, d),
        fisher(a, b, c, d),
        funnelLimits(a, b, c),
        isOutsideFunnel(a, b, c, d),
        pareto(new Map(values.map((share, index) => [String(index), share]))),
        shiftOf(values, values),
        line,
        isRefusal(line) ? line : crossing(line, c, d),
      ])
        if (!isRefusal(answer)) expect(numbersIn(answer).filter((each) => !Number.isFinite(each))).toEqual([]);
    }),
    { numRuns: 500 },
  );
});
