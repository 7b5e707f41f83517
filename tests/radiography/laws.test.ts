import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { charge, pulsesOfSeconds, secondsOfPulses, timeOfCharge } from '../../src/radiography/exposure/charge.js';
import { convert } from '../../src/radiography/exposure/conversion.js';
import { coneChange, distanceFactor } from '../../src/radiography/exposure/distance.js';
import { areaProduct, avoidable, coneEndKerma, fieldArea, outputAt } from '../../src/radiography/exposure/kerma.js';
import { exposureRatio } from '../../src/radiography/exposure/ratio.js';
import { compareWithLevels } from '../../src/radiography/exposure/reference-levels.js';
import { speedFactor, speedSources } from '../../src/radiography/exposure/speed.js';
import { voltageFactor, voltageRules } from '../../src/radiography/exposure/voltage.js';
import { densityDifference, tellsOf } from '../../src/radiography/sensitometry/comparison.js';
import { fogAdded, netDensities, opticalDensity } from '../../src/radiography/sensitometry/density.js';
import { fogState, isSteepEnough } from '../../src/radiography/sensitometry/film-standard.js';
import { isoSpeed, kermaOfSpeed, speedGroup, speedGroups } from '../../src/radiography/sensitometry/speed.js';
import { stepDifference } from '../../src/radiography/sensitometry/steps.js';
import { geometryRules, judgeGeometry } from '../../src/radiography/tube-tests/geometry.js';
import { halfValueLayer, isFiltered, leastHalfValueLayer } from '../../src/radiography/tube-tests/half-value-layer.js';
import { linearity } from '../../src/radiography/tube-tests/linearity.js';
import { reproducibility } from '../../src/radiography/tube-tests/reproducibility.js';
import { timerTest } from '../../src/radiography/tube-tests/timer.js';
import { isRefusal } from '../../src/refusal.js';
import { answered } from '../published/answer.js';
import { numbersIn, wild } from '../support/numbers.js';

const quantity = fc.double({ min: 0.01, max: 1000, noNaN: true });
const distance = fc.double({ min: 10, max: 1000, noNaN: true });
const voltage = fc.double({ min: 50, max: 100, noNaN: true });
const group = fc.constantFrom(...speedGroups);

describe('exposure: what is done can be undone', () => {
  test('distance, there and back; twice on is the product', () => {
    fc.assert(
      fc.property(quantity, quantity, quantity, (a, b, c) => {
        const [there, back, on] = [distanceFactor(a, b), distanceFactor(b, a), distanceFactor(b, c)].map(answered);
        expect((there ?? 0) * (back ?? 0)).toBeCloseTo(1, 9);
        expect(((there ?? 0) * (on ?? 0)) / answered(distanceFactor(a, c))).toBeCloseTo(1, 9);
      }),
    );
  });

  test('current and time', () => {
    fc.assert(
      fc.property(quantity, quantity, (current, time) => {
        expect(answered(timeOfCharge(answered(charge(current, time)), current)) / time).toBeCloseTo(1, 9);
      }),
    );
  });

  test('whole impulses survive the way to seconds and back, for both mains and both rectifications', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.constantFrom(50, 60),
        fc.constantFrom(1, 2),
        (pulses, mains, each) => {
          const back = answered(pulsesOfSeconds(answered(secondsOfPulses(pulses, mains, each)), mains, each));
          expect(back.pulses).toBe(pulses);
          expect(back.off).toBeCloseTo(0, 9);
        },
      ),
    );
  });

  test('both voltage rules, there and back; more voltage never asks for more time', () => {
    fc.assert(
      fc.property(fc.constantFrom(...voltageRules), voltage, voltage, (rule, a, b) => {
        const there = answered(voltageFactor(rule, a, b));
        expect(there * answered(voltageFactor(rule, b, a))).toBeCloseTo(1, 9);
        expect(there <= 1).toBe(b >= a);
      }),
    );
  });

  test('film speed, there and back, and a faster group never asks for more', () => {
    fc.assert(
      fc.property(fc.constantFrom(...speedSources), group, group, (source, a, b) => {
        const there = speedFactor(a, b, source);
        const back = speedFactor(b, a, source);
        if (isRefusal(there) || isRefusal(back)) return expect(isRefusal(there)).toBe(isRefusal(back));
        expect(there * back).toBeCloseTo(1, 9);
        expect(there <= 1).toBe(b >= a);
      }),
    );
  });

  test('an exposure against itself is 1; against another the inverse of the other against it', () => {
    const factors = fc.record({ voltage, current: quantity, time: quantity, distance });
    fc.assert(
      fc.property(fc.constantFrom(...voltageRules), factors, factors, (rule, a, b) => {
        expect(answered(exposureRatio(a, a, rule))).toBeCloseTo(1, 9);
        expect(answered(exposureRatio(a, b, rule)) * answered(exposureRatio(b, a, rule))).toBeCloseTo(1, 9);
        // Twice the time at all else equal is twice the exposure.
        expect(answered(exposureRatio({ ...b, time: 2 * b.time }, b, rule))).toBeCloseTo(2, 9);
      }),
    );
  });

  test('an exposure that follows a factor has the ratio 1', () => {
    fc.assert(
      fc.property(fc.constantFrom(...voltageRules), voltage, voltage, quantity, (rule, from, to, time) => {
        const known = { voltage: from, current: 7, time, distance: 220 };
        const next = { ...known, voltage: to, distance: 420 };
        const factor = answered(voltageFactor(rule, from, to)) * answered(distanceFactor(220, 420));
        expect(answered(exposureRatio({ ...next, time: time * factor }, known, rule))).toBeCloseTo(1, 9);
      }),
    );
  });

  test('output carried to another distance and back; the product of a round field grows with its square', () => {
    fc.assert(
      fc.property(quantity, distance, distance, (output, from, to) => {
        expect(answered(outputAt(answered(outputAt(output, from, to)), to, from)) / output).toBeCloseTo(1, 9);
        const [one, two] = [answered(fieldArea({ diameter: from })), answered(fieldArea({ diameter: 2 * from }))];
        expect(answered(areaProduct(output, two)) / answered(areaProduct(output, one))).toBeCloseTo(4, 9);
      }),
    );
  });

  test('the avoidable part lies within the whole, and is nothing without retakes', () => {
    const exposures = fc.array(fc.record({ amount: quantity, isRetake: fc.boolean() }), { minLength: 1 });
    fc.assert(
      fc.property(exposures, (given) => {
        const { total, avoidable: again, share } = answered(avoidable(given));
        expect(again).toBeGreaterThanOrEqual(0);
        expect(again).toBeLessThanOrEqual(total);
        expect(share === 0).toBe(!given.some(({ isRetake }) => isRetake));
        expect(share === 100).toBe(given.every(({ isRetake }) => isRetake));
      }),
    );
  });

  test('twice the cone is less than four times the time where the film lies behind it', () => {
    const { factor, byLength, off } = answered(coneChange({ length: 203, behind: 20 }, { length: 406, behind: 20 }));
    expect(byLength).toBeCloseTo(4, 9);
    // 426 over 223 mm, squared.
    expect(factor).toBeCloseTo(3.649, 3);
    expect(off).toBeCloseTo(9.61, 2);
  });

  // Arithmetic of the two rules' own words; both are common practice, neither is checked against a source.
  test('the two voltage rules, each by its words; within their span they never agree on a change', () => {
    expect(voltageFactor('15-kVp', 70, 85)).toBe(0.5);
    expect(voltageFactor('15-kVp', 85, 70)).toBe(2);
    expect(answered(voltageFactor('15-percent', 70, 80.5))).toBeCloseTo(0.5, 9);
    expect(answered(voltageFactor('15-percent', 70, 85))).toBeCloseTo(0.382, 3);
    expect(answered(voltageFactor('15-percent', 100 / 1.15, 100))).toBeCloseTo(0.5, 9);
    fc.assert(
      fc.property(voltage, voltage, (a, b) => {
        fc.pre(Math.abs(a - b) > 1);
        const [one, other] = voltageRules.map((rule) => answered(voltageFactor(rule, a, b)));
        expect(Math.abs(Math.log((one ?? 1) / (other ?? 1)))).toBeGreaterThan(1e-4);
      }),
    );
  });
});

describe('sensitometry', () => {
  test('speed and kerma invert each other; less kerma never makes a slower group', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 7, max: 112, noNaN: true }),
        fc.double({ min: 7, max: 112, noNaN: true }),
        (a, b) => {
          expect(answered(isoSpeed(answered(kermaOfSpeed(a)))) / a).toBeCloseTo(1, 9);
          const [slow, fast] = a <= b ? [a, b] : [b, a];
          expect(answered(speedGroup(slow)) <= answered(speedGroup(fast))).toBe(true);
        },
      ),
    );
  });

  test('net densities and their base plus fog make the reading again; a strip differs from itself by nothing', () => {
    const strip = fc.array(fc.double({ min: 0, max: 4, noNaN: true }), { minLength: 2, maxLength: 12 });
    fc.assert(
      fc.property(strip, (densities) => {
        const net = answered(netDensities(densities));
        net.forEach((density, step) => {
          expect(density + (densities[0] ?? 0)).toBeCloseTo(densities[step + 1] ?? NaN, 9);
        });
        expect(densityDifference(densities, densities)).toMatchObject({ density: 0, baseFog: 0 });
        expect(stepDifference(densities, densities)).toEqual({ steps: 0, direction: 'same' });
      }),
    );
  });

  test('a strip that is lighter all over is told as lighter, and never as fewer steps when it grows lighter still', () => {
    const reference = [0.2, 0.35, 0.6, 0.95, 1.4, 1.9, 2.3, 2.6];
    const lighter = (by: number) => reference.map((density) => Math.max(0.2, density - by));
    const steps = [0.1, 0.3, 0.5, 0.7, 0.9].map((by) => stepDifference(lighter(by), reference));
    expect(steps.every((each) => each?.direction === 'lighter' || each?.steps === 0)).toBe(true);
    const counts = steps.map((each) => each?.steps ?? NaN);
    expect(counts).toEqual([...counts].sort((a, b) => a - b));
    expect(counts.at(-1)).toBeGreaterThan(2);
  });

  test('fog is what the light added, with its sign', () => {
    expect(answered(fogAdded(1, 1.05))).toBeCloseTo(0.05, 9);
    expect(answered(fogAdded(1.05, 1))).toBeCloseTo(-0.05, 9);
    expect(fogAdded(1, 7)).toMatchObject({ refused: 'out-of-range', of: 'open[0]' });
  });

  test('strips exposed together tell of the processing alone', () => {
    expect(tellsOf({ batch: 'B1' })).toBe('processing');
    expect(tellsOf({})).toBe('unitAndProcessing');
  });
});

describe('tube tests', () => {
  test('a beam that falls evenly has the half-value layer it was made with', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 5, noNaN: true }), quantity, (layer, bare) => {
        const readings = Array.from({ length: 25 }, (_, n) => n / 4).map((filter) => ({
          filter,
          output: bare * 2 ** (-filter / layer),
        }));
        expect(answered(halfValueLayer(readings)) / layer).toBeCloseTo(1, 6);
      }),
    );
  });

  test.each([
    [[{ filter: 1, output: 1 }], 'no-bare-beam'],
    [
      [
        { filter: 0, output: 1 },
        { filter: 0, output: 0.5 },
      ],
      'not-rising',
    ],
    [
      [
        { filter: 0, output: 1 },
        { filter: 1, output: 1 },
      ],
      'not-falling',
    ],
    [
      [
        { filter: 0, output: 1 },
        { filter: 1, output: 0.6 },
      ],
      'above-half',
    ],
    [
      [
        { filter: 0, output: 0 },
        { filter: 1, output: 0.6 },
      ],
      'not-positive',
    ],
    [[], 'no-bare-beam'],
  ])('readings behind filters that tell nothing: %j', (readings, refused) => {
    expect(halfValueLayer(readings)).toMatchObject({ refused });
  });

  test('between rows of one range more voltage never needs less filter', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 71, max: 150, noNaN: true }),
        fc.double({ min: 71, max: 150, noNaN: true }),
        fc.constantFrom('intraoral' as const, 'other' as const),
        (a, b, column) => {
          const [low, high] = [Math.min(a, b), Math.max(a, b)];
          expect(answered(leastHalfValueLayer(low, column))).toBeLessThanOrEqual(
            answered(leastHalfValueLayer(high, column)) + 1e-9,
          );
        },
      ),
    );
  });

  test('variation and range scale with nothing: the unit of the readings is of no matter', () => {
    fc.assert(
      fc.property(fc.array(quantity, { minLength: 4, maxLength: 10 }), quantity, (readings, scale) => {
        const [one, other] = [readings, readings.map((each) => each * scale)].map((each) =>
          answered(reproducibility(each)),
        );
        expect(other?.variation).toBeCloseTo(one?.variation ?? NaN, 6);
        expect((other?.range ?? NaN) / (other?.mean ?? NaN)).toBeCloseTo((one?.range ?? NaN) / (one?.mean ?? NaN), 6);
      }),
    );
  });

  test('linearity is the same both ways round, 0 for equals, below 1 always', () => {
    fc.assert(
      fc.property(quantity, quantity, (a, b) => {
        const { difference } = answered(linearity(a, b));
        expect(difference).toBeCloseTo(answered(linearity(b, a)).difference, 12);
        expect(difference).toBeLessThan(1);
        expect(answered(linearity(a, a)).difference).toBe(0);
      }),
    );
  });

  test('linearity at a tenth is within it', () => {
    expect(answered(linearity(1.1, 0.9)).isWithinTenth).toBe(true);
    expect(answered(linearity(1.11, 0.9)).isWithinTenth).toBe(false);
  });

  test('a timer is told by its mean and by its worst single reading', () => {
    const told = answered(timerTest(0.5, [0.5, 0.51, 0.46]));
    expect(told.mean).toBeCloseTo(0.49, 9);
    expect(told.error).toBeCloseTo(-2, 9);
    expect(told.worst).toBeCloseTo(-8, 9);
    expect(timerTest(0.5, [])).toMatchObject({ refused: 'too-few' });
  });
});

test('whatever is put in, no answer holds a NaN or an infinity, and a refusal speaks', () => {
  fc.assert(
    fc.property(fc.array(wild, { maxLength: 8 }), wild, wild, wild, wild, (values, a, b, c, d) => {
      const factors = { voltage: a, current: b, time: c, distance: d };
      for (const answer of [
        distanceFactor(a, b),
        coneChange({ length: a, behind: b }, { length: c, behind: d }),
        charge(a, b),
        timeOfCharge(a, b),
        secondsOfPulses(a, 50),
        pulsesOfSeconds(a, 60, 2),
        voltageFactor('15-kVp', a, b),
        voltageFactor('15-percent', a, b),
        coneEndKerma(a, b),
        outputAt(a, b, c),
        fieldArea({ diameter: a }),
        fieldArea({ width: a, height: b }),
        areaProduct(a, b),
        avoidable(values.map((amount, index) => ({ amount, isRetake: index % 2 === 0 }))),
        exposureRatio(factors, { voltage: b, current: a, time: d, distance: c }, '15-kVp'),
        exposureRatio(factors, { voltage: a, current: d, time: b }, '15-percent'),
        compareWithLevels(a),
        isoSpeed(a),
        kermaOfSpeed(a),
        speedGroup(a),
        opticalDensity(a, b),
        netDensities(values),
        fogAdded(a, b),
        isSteepEnough(a),
        fogState(a),
        reproducibility(values),
        linearity(a, b),
        leastHalfValueLayer(a, 'other'),
        isFiltered(a, b, 'intraoral'),
        halfValueLayer(values.map((output, index) => ({ filter: index === 0 ? 0 : a, output }))),
        ...geometryRules.map((rule) => judgeGeometry(rule, { distance: a, field: b, highestVoltage: c })),
        timerTest(a, values),
      ]) {
        if (isRefusal(answer)) expect(answer.because).toMatch(/\.$/);
        else expect(numbersIn(answer).filter((each) => !Number.isFinite(each))).toEqual([]);
      }
    }),
    { numRuns: 1000 },
  );
});

describe('a conversion', () => {
  const setting = fc.record({
    voltage,
    current: quantity,
    distance,
    filmSpeed: fc.constantFrom(...speedGroups.slice(1)),
  });
  const rules = fc.record({ voltage: fc.constantFrom(...voltageRules), speed: fc.constantFrom(...speedSources) });

  test('goes there and back, and every step is told', () => {
    fc.assert(
      fc.property(setting, setting, quantity, rules, (a, b, time, by) => {
        const there = answered(convert({ ...a, time }, b, by));
        expect(answered(convert({ ...b, time: there.time }, a, by)).time / time).toBeCloseTo(1, 9);
        expect(there.steps.reduce((product, { factor }) => product * factor, time) / there.time).toBeCloseTo(1, 9);
      }),
    );
  });

  test('gives what was asked for: its ratio to the known exposure is 1', () => {
    fc.assert(
      fc.property(setting, setting, quantity, rules, (a, b, time, by) => {
        const same = { ...b, filmSpeed: a.filmSpeed };
        const asked = convert({ ...a, time }, same, by);
        // Times that nobody could set are refused.
        fc.pre(!isRefusal(asked) || asked.refused !== 'out-of-reach');
        const found = answered(asked);
        expect(answered(exposureRatio({ ...same, time: found.time }, { ...a, time }, by.voltage))).toBeCloseTo(1, 9);
      }),
    );
  });

  test('of nothing changes nothing', () => {
    fc.assert(
      fc.property(setting, quantity, rules, (a, time, by) => {
        expect(convert({ ...a, time }, {}, by)).toEqual({ time, charge: a.current * time, steps: [] });
      }),
    );
  });

  test('names the setting that is to blame', () => {
    const by = { voltage: '15-kVp', speed: 'published-reductions' } as const;
    const known = { voltage: 70, current: 7, time: 0.4 };
    expect(convert({ ...known, current: 0 }, {}, by)).toMatchObject({ of: 'known.current' });
    expect(convert(known, { voltage: 120 }, by)).toMatchObject({ of: 'wanted.voltage' });
    expect(convert({ ...known, voltage: 30 }, { voltage: 70 }, by)).toMatchObject({ of: 'known.voltage' });
    expect(convert(known, { current: -1 }, by)).toMatchObject({ of: 'wanted.current' });
    expect(convert({ ...known, voltage: -5 }, {}, by)).toMatchObject({ of: 'known.voltage' });
    expect(convert({ ...known, distance: 0 }, {}, by)).toMatchObject({ of: 'known.distance' });
    expect(convert(known, { distance: 400 }, by)).toMatchObject({ refused: 'not-known', of: 'known.distance' });
    expect(convert(known, { filmSpeed: 'F' }, by)).toMatchObject({ refused: 'not-known', of: 'known.filmSpeed' });
    expect(exposureRatio({ ...known, voltage: -5 }, { ...known, voltage: -5 }, '15-kVp')).toMatchObject({
      refused: 'not-positive',
    });
  });
});
