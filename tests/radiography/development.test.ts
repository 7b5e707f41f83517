import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { filmArea, filmSizes } from '../../src/events/film-size.js';
import { fixerLife, fixingTime } from '../../src/radiography/development/fixing.js';
import { standingOf } from '../../src/radiography/development/times.js';
import { reachOf } from '../../src/radiography/development/use.js';
import { isRefusal } from '../../src/refusal.js';
import { answered } from '../published/answer.js';
import { normals, numbersIn, wild } from '../support/numbers.js';

const seconds = fc.double({ min: 1, max: 1200, noNaN: true });

describe('a time against its chart', () => {
  test.each([
    [300, 300, 330, 'on', 0],
    [299, 300, 330, 'under', -1],
    [330, 300, 330, 'on', 30],
    [331, 300, 330, 'over', 31],
    // In binary these are a hair below and above: no second short, none over.
    [90, 300 * (0.1 + 0.2), 100, 'on', 0],
    [300 * (0.1 + 0.2), 90, 90, 'on', 0],
  ])('%d s where %d to %d s are asked: %s', (time, least, most, stands, off) => {
    const found = answered(standingOf(time, least, most));
    expect(found.stands).toBe(stands);
    expect(found.off).toBeCloseTo(off, 9);
  });

  test('a longer time never moves from over to on, nor from on to under', () => {
    const order = ['under', 'on', 'over'];
    fc.assert(
      fc.property(seconds, seconds, seconds, seconds, (least, allowance, a, b) => {
        const [short, long] = [Math.min(a, b), Math.max(a, b)].map((time) =>
          order.indexOf(answered(standingOf(time, least, least + allowance)).stands),
        );
        expect(short).toBeLessThanOrEqual(long ?? NaN);
      }),
    );
  });
});

test('a longest time below the least is nonsense', () => {
  expect(standingOf(100, 100, 50)).toMatchObject({ refused: 'out-of-range', of: 'most' });
});

describe('when a bath reaches its limit', () => {
  test('the same every day: exactly then', () => {
    const reach = answered(reachOf(100, [10, 10, 10, 10, 10, 10, 10]));
    expect([reach.days, reach.earliest, reach.latest]).toEqual([10, 10, 10]);
  });

  test('the interval holds the estimate, and with twice as much left everything is later', () => {
    const daily = fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 7, maxLength: 28 });
    fc.assert(
      fc.property(daily, fc.integer({ min: 1, max: 5000 }), (days, left) => {
        const [one, two] = [reachOf(left, days), reachOf(2 * left, days)];
        if (isRefusal(one) || isRefusal(two)) return expect(days.every((each) => each === 0)).toBe(true);
        expect(one.earliest).toBeLessThanOrEqual(one.days + 1e-9);
        if (one.latest !== undefined) expect(one.latest).toBeGreaterThanOrEqual(one.days - 1e-9);
        expect(two.days).toBeGreaterThan(one.days);
        expect(two.earliest).toBeGreaterThan(one.earliest);
      }),
    );
  });

  test('the limit is reached within the interval in about nineteen of twenty simulated offices', () => {
    const offices = Array.from({ length: 400 }, (_, n) =>
      normals(60, `office ${n}`).map((z) => Math.max(0, 20 + 6 * z)),
    );
    const held = offices.filter((days) => {
      const [past, future] = [days.slice(0, 21), days.slice(21)];
      const reach = answered(reachOf(300, past));
      let sum = 0;
      const actual = future.findIndex((each) => (sum += each) >= 300) + 1;
      // The limit falls somewhere within that day.
      return actual >= reach.earliest && actual - 1 <= (reach.latest ?? Infinity);
    });
    expect(held.length / offices.length).toBeGreaterThan(0.93);
    // And it is no interval that holds everything.
    const widths = offices
      .map((days) => answered(reachOf(300, days.slice(0, 21))))
      .map(({ days, earliest, latest = Infinity }) => (latest - earliest) / days);
    expect(Math.max(...widths)).toBeLessThan(1.5);
  });

  test('reached already, no use, too short a record', () => {
    expect(reachOf(0, [1, 2, 3, 4, 5, 6, 7])).toEqual({ days: 0, earliest: 0, latest: 0 });
    expect(reachOf(10, [0, 0, 0, 0, 0, 0, 0])).toMatchObject({ refused: 'no-use' });
    expect(reachOf(10, [1, 2, 3])).toMatchObject({ refused: 'too-few' });
    expect(reachOf(10, [1, 2, 3, 4, 5, 6, -7])).toMatchObject({ refused: 'out-of-range', of: 'daily[6]' });
    expect(answered(reachOf(1000, [40, 0, 0, 0, 0, 0, 0]))).not.toHaveProperty('latest');
  });
});

test('a sheet of 15 by 30 cm counts as about 35 films of size 2', () => {
  expect(filmArea('panoramic') / filmArea('2')).toBeCloseTo(35.4, 1);
  expect(filmSizes.every((size) => filmArea(size) > 0)).toBe(true);
});

test('whatever is put in, no answer holds a NaN or an infinity', () => {
  fc.assert(
    fc.property(fc.array(wild, { maxLength: 10 }), wild, wild, wild, (values, a, b, c) => {
      for (const answer of [standingOf(a, b, c), standingOf(a, b), fixingTime(a), fixerLife(a, b), reachOf(a, values)])
        if (!isRefusal(answer)) expect(numbersIn(answer).filter((each) => !Number.isFinite(each))).toEqual([]);
    }),
    { numRuns: 1000 },
  );
});
