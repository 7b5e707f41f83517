import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { dueAfter } from '../../src/engine/calendar.js';
import { same } from '../../src/events/units.js';
import type { Chart, Period } from '../../src/packs/model.js';
import { clash, constant, covers, curveOf, either, isNeverShorter, isNoStricter } from '../../src/packs/strictness.js';
import type { Curve } from '../../src/packs/strictness.js';

describe('periods', () => {
  const period = fc.record<Period>({
    count: fc.integer({ min: 1, max: 100 }),
    unit: fc.constantFrom<Period['unit']>('mo', 'wk', 'd', 'h', 'min'),
  });
  const start = fc.integer({ min: Date.parse('2023-01-01'), max: Date.parse('2031-12-31') });
  const zone = fc.constantFrom('America/New_York', 'America/Phoenix', 'Australia/Lord_Howe', 'UTC');

  test('one that is never shorter never falls due earlier', () => {
    let told = 0;
    fc.assert(
      fc.property(
        period,
        period,
        fc.array(start, { minLength: 5, maxLength: 5 }),
        zone,
        (one, other, starts, where) => {
          if (!isNeverShorter(one, other)) return;
          told += 1;
          for (const at of starts) expect(dueAfter(at, one, where)).toBeGreaterThanOrEqual(dueAfter(at, other, where));
        },
      ),
      { numRuns: 250 },
    );
    expect(told).toBeGreaterThan(30);
  });

  test.each<[Period, Period, boolean]>([
    [{ count: 60, unit: 'd' }, { count: 2, unit: 'mo' }, false],
    [{ count: 2, unit: 'mo' }, { count: 60, unit: 'd' }, false],
    [{ count: 62, unit: 'd' }, { count: 2, unit: 'mo' }, true],
    [{ count: 2, unit: 'mo' }, { count: 59, unit: 'd' }, true],
    [{ count: 2, unit: 'mo' }, { count: 8, unit: 'wk' }, true],
    [{ count: 12, unit: 'mo' }, { count: 365, unit: 'd' }, true],
    [{ count: 1, unit: 'd' }, { count: 24, unit: 'h' }, false],
    [{ count: 50, unit: 'h' }, { count: 1, unit: 'd' }, true],
    [{ count: 120, unit: 'min' }, { count: 2, unit: 'h' }, true],
  ])('%j is never shorter than %j: %s', (one, other, expected) => {
    expect(isNeverShorter(one, other)).toBe(expected);
  });
});

describe('curves', () => {
  const citation = { text: 'test', read: 'practice' } as const;
  const chart = fc
    .record({
      keys: fc.uniqueArray(fc.integer({ min: 0, max: 12 }), { minLength: 1, maxLength: 5 }),
      values: fc.array(fc.integer({ min: 0, max: 6 }), { minLength: 5, maxLength: 5 }),
      lookup: fc.constantFrom<Chart['lookup']>('exact', 'step', 'linear'),
      doubtful: fc.array(fc.integer({ min: 0, max: 12 }), { maxLength: 1 }),
    })
    .map(({ keys, values, lookup, doubtful }): Chart => ({
      ...{ id: 'x', title: 'x', answers: 'x', by: 'run.developer.temperature', gives: 'run.developer.time' },
      ...{ lookup, doubtful, for: {}, units: { by: 'Cel', gives: 's' }, gaps: [], citation },
      rows: keys.sort((a, b) => a - b).map((key, index) => ({ key, value: values[index] ?? 0 })),
    }));
  const curve = fc.oneof(
    { weight: 3, arbitrary: chart.map((each) => curveOf(each)) },
    { weight: 1, arbitrary: fc.integer({ min: 0, max: 6 }).map(constant) },
  );
  const dense = Array.from({ length: 16 * 8 }, (_, index) => -1.5 + index / 8);
  const at = (one: Curve, key: number) => one.at(one.by.length === 0 ? [] : [key]);

  test.each(['min', 'max'] as const)('what is no stricter on the side %s is so at every key', (side) => {
    let told = 0;
    fc.assert(
      fc.property(curve, curve, (one, other) => {
        const stricterAt = dense.filter((key) => {
          const [a, b] = [at(one, key), at(other, key)];
          if (a === undefined || (b !== undefined && same(a, b))) return false;
          return b === undefined || (side === 'min' ? a > b : a < b);
        });
        if (isNoStricter(side, one, other)) {
          told += 1;
          expect(stricterAt).toEqual([]);
        }
      }),
      { numRuns: 300 },
    );
    expect(told).toBeGreaterThan(10);
  });

  test('a clash is found where there is one, and is one', () => {
    fc.assert(
      fc.property(curve, curve, (low, high) => {
        const found = clash(low, high);
        const crossing = (key: number) => {
          const [least, most] = [at(low, key), at(high, key)];
          return least !== undefined && most !== undefined && least > most && !same(least, most);
        };
        if (found === undefined) expect(dense.filter(crossing)).toEqual([]);
        else expect(crossing(found[0] ?? 0)).toBe(true);
      }),
      { numRuns: 200 },
    );
  });

  test('of two that satisfy the looser counts, and only where both answer', () => {
    fc.assert(
      fc.property(curve, curve, (one, other) => {
        const both = either('min', one, other);
        if (both === undefined) throw new Error('They are by one fact.');
        for (const key of dense) {
          const [a, b] = [at(one, key), at(other, key)];
          expect(at(both, key)).toBe(a === undefined || b === undefined ? undefined : Math.min(a, b));
        }
      }),
      { numRuns: 25 },
    );
  });

  test('charts by different facts are not compared', () => {
    const other: Curve = { by: ['developer.age'], keys: [[1]], at: () => 5 };
    const one: Curve = { by: ['run.films'], keys: [[1]], at: () => 1 };
    expect(isNoStricter('min', one, other)).toBe(false);
    expect(either('min', one, other)).toBeUndefined();
    expect(clash(other, one)).toBeUndefined();
  });
});

test('a selector covers what it speaks of wherever the other does', () => {
  expect(covers({}, { method: ['manual'] })).toBe(true);
  expect(covers({ method: ['manual', 'chairside'] }, { method: ['manual'] })).toBe(true);
  expect(covers({ method: ['manual'] }, {})).toBe(false);
  expect(covers({ method: ['manual'] }, { method: ['manual', 'automatic'] })).toBe(false);
  expect(covers({ method: ['manual'], bath: ['fixer'] }, { method: ['manual'] })).toBe(false);
});
