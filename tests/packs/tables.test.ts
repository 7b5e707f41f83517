import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { lookUp } from '../../src/packs/chart.js';
import type { Chart, Lookup } from '../../src/packs/model.js';

function chartOf(rows: Chart['rows'], lookup: Lookup, more: Partial<Chart> = {}): Chart {
  return {
    ...{ id: 'x/chart', title: 'A chart', answers: 'x', by: 'run.developer.temperature', gives: 'run.developer.time' },
    ...{ lookup, for: {}, units: { by: 'Cel', gives: 's' }, rows, doubtful: [], gaps: [] },
    citation: { text: 'test', read: 'practice' },
    ...more,
  };
}

const keys = fc
  .uniqueArray(fc.integer({ min: -400, max: 400 }), { minLength: 2, maxLength: 8 })
  .map((list) => list.sort((a, b) => a - b).map((key) => key / 4));
const values = fc.array(fc.integer({ min: 0, max: 1000 }), { minLength: 8, maxLength: 8 });
const rows = fc
  .tuple(keys, values)
  .map(([list, given]) => list.map((key, index) => ({ key, value: given[index] ?? 0 })));
const lookup = fc.constantFrom<Lookup>('exact', 'step', 'linear');
/** A place within the ends of a table: an interval and a share of it. */
const place = fc.tuple(fc.nat(), fc.double({ min: 0.01, max: 0.99, noNaN: true }));

/** The rows on both sides of a place, and a key strictly between them. */
function between(table: Chart['rows'], [index, share]: readonly [number, number]) {
  const at = index % (table.length - 1);
  const [low, high] = [table[at], table[at + 1]];
  if (low === undefined || high === undefined) throw new Error('A table has two rows here.');
  return { low, high, key: low.key + share * (high.key - low.key) };
}

describe('a table by one fact', () => {
  test('a row answers with its own value, however the rest is looked up', () => {
    fc.assert(
      fc.property(rows, lookup, (table, how) => {
        const chart = chartOf(table, how);
        expect(table.map(({ key }) => lookUp(chart, key))).toEqual(table.map(({ value }) => value));
      }),
    );
  });

  test('outside its ends there is no answer', () => {
    fc.assert(
      fc.property(rows, lookup, fc.double({ min: 0.001, max: 1000, noNaN: true }), (table, how, beyond) => {
        const chart = chartOf(table, how);
        expect(lookUp(chart, (table[0]?.key ?? 0) - beyond)).toBeUndefined();
        expect(lookUp(chart, (table.at(-1)?.key ?? 0) + beyond)).toBeUndefined();
        expect(lookUp(chart, NaN)).toBeUndefined();
      }),
    );
  });

  test('between two rows: exact refuses, step gives the row below, linear lies between the two', () => {
    fc.assert(
      fc.property(rows, place, (table, where) => {
        const { low, high, key } = between(table, where);
        expect(lookUp(chartOf(table, 'exact'), key)).toBeUndefined();
        expect(lookUp(chartOf(table, 'step'), key)).toBe(low.value);
        const answer = lookUp(chartOf(table, 'linear'), key) ?? NaN;
        expect(answer).toBeGreaterThanOrEqual(Math.min(low.value, high.value) - 1e-9);
        expect(answer).toBeLessThanOrEqual(Math.max(low.value, high.value) + 1e-9);
        // The same share of the way, within what doubles can hold.
        const share = (key - low.key) / (high.key - low.key);
        expect(answer).toBeCloseTo(low.value * (1 - share) + high.value * share, 6);
      }),
    );
  });

  test('rows that fall give answers that fall, in steps and on lines', () => {
    fc.assert(
      fc.property(rows, fc.constantFrom<Lookup>('step', 'linear'), place, place, (table, how, one, other) => {
        const falling = table.map(({ value }) => value).sort((a, b) => b - a);
        const chart = chartOf(
          table.map(({ key }, index) => ({ key, value: falling[index] ?? 0 })),
          how,
        );
        const [a, b] = [between(table, one).key, between(table, other).key].sort((x, y) => x - y);
        expect(lookUp(chart, a ?? NaN)).toBeGreaterThanOrEqual((lookUp(chart, b ?? NaN) ?? NaN) - 1e-9);
      }),
    );
  });

  test('within a gap there is no answer; its ends, which are rows, have theirs', () => {
    fc.assert(
      fc.property(rows, fc.constantFrom<Lookup>('step', 'linear'), place, place, (table, how, where, elsewhere) => {
        const { low, high, key } = between(table, where);
        const gaps = [{ of: 'by', from: low.key, to: high.key }] as const;
        const chart = chartOf(table, how, { gaps });
        expect([low, high].map((row) => lookUp(chart, row.key))).toEqual([low.value, high.value]);
        expect(lookUp(chart, key)).toBeUndefined();
        const other = between(table, elsewhere);
        if (other.low !== low) expect(lookUp(chart, other.key)).toBe(lookUp(chartOf(table, how), other.key));
      }),
    );
  });

  test('where the copy is doubtful there is no answer, nor on a line that would lean on it', () => {
    fc.assert(
      fc.property(rows, lookup, place, (table, how, where) => {
        const { low, high, key } = between(table, where);
        for (const doubtful of [low.key, high.key]) {
          const chart = chartOf(table, how, { doubtful: [doubtful] });
          expect(lookUp(chart, doubtful)).toBeUndefined();
          expect(lookUp(chart, key)).toBe(how === 'step' && doubtful === high.key ? low.value : undefined);
        }
        // A key that stands in the copy with a value nobody could read.
        const unread = chartOf(table, how, { doubtful: [key] });
        expect(lookUp(unread, key)).toBeUndefined();
        expect(lookUp(unread, (key + high.key) / 2)).toBeUndefined();
      }),
    );
  });
});

describe('a table by two facts', () => {
  const grid = fc.tuple(keys, keys, fc.array(fc.integer({ min: 0, max: 1000 }), { minLength: 64, maxLength: 64 }));
  const cells = ([firsts, seconds, given]: [number[], number[], number[]]) =>
    firsts.flatMap((key, row) =>
      seconds.map((and, column) => ({ key, and, value: given[row * seconds.length + column] ?? 0 })),
    );
  const two = (table: Chart['rows'], how: Lookup, more: Partial<Chart> = {}) =>
    chartOf(table, how, { and: 'developer.age', ...more });

  test('a cell answers with its own value, and one key alone with nothing', () => {
    fc.assert(
      fc.property(grid, lookup, (given, how) => {
        const table = cells(given);
        const chart = two(table, how);
        expect(table.map(({ key, and }) => lookUp(chart, key, and))).toEqual(table.map(({ value }) => value));
        expect(lookUp(chart, table[0]?.key ?? 0)).toBeUndefined();
      }),
    );
  });

  test('between cells: exact refuses, step gives the lower of both keys, linear lies among the four', () => {
    fc.assert(
      fc.property(grid, place, place, (given, one, other) => {
        const table = cells(given);
        const value = (key: number, and: number) =>
          table.find((row) => row.key === key && row.and === and)?.value ?? NaN;
        const first = between(
          given[0].map((key) => ({ key, value: 0 })),
          one,
        );
        const second = between(
          given[1].map((key) => ({ key, value: 0 })),
          other,
        );
        const corners = [first.low.key, first.high.key].flatMap((key) =>
          [second.low.key, second.high.key].map((and) => value(key, and)),
        );
        expect(lookUp(two(table, 'exact'), first.key, second.key)).toBeUndefined();
        expect(lookUp(two(table, 'exact'), first.low.key, second.key)).toBeUndefined();
        expect(lookUp(two(table, 'step'), first.key, second.key)).toBe(corners[0]);
        const answer = lookUp(two(table, 'linear'), first.key, second.key) ?? NaN;
        expect(answer).toBeGreaterThanOrEqual(Math.min(...corners) - 1e-9);
        expect(answer).toBeLessThanOrEqual(Math.max(...corners) + 1e-9);
        for (const [of, side] of [
          ['by', first],
          ['and', second],
        ] as const) {
          const gaps = [{ of, from: side.low.key, to: side.high.key }];
          expect(lookUp(two(table, 'linear', { gaps }), first.key, second.key)).toBeUndefined();
          expect(lookUp(two(table, 'step', { gaps }), first.key, second.key)).toBeUndefined();
        }
        const doubtfulCells = [[first.high.key, second.high.key]] as const;
        expect(lookUp(two(table, 'linear', { doubtfulCells }), first.key, second.key)).toBeUndefined();
        expect(lookUp(two(table, 'step', { doubtfulCells }), first.key, second.key)).toBe(corners[0]);
        const whole = [first.low.key];
        expect(lookUp(two(table, 'linear', { doubtful: whole }), first.key, second.key)).toBeUndefined();
        expect(lookUp(two(table, 'step', { doubtful: whole }), first.low.key, second.low.key)).toBeUndefined();
      }),
    );
  });

  test('a grid that rises along both keys gives answers that rise along both', () => {
    fc.assert(
      fc.property(keys, keys, place, place, place, place, (firsts, seconds, a, b, c, d) => {
        const table = firsts.flatMap((key, row) =>
          seconds.map((and, column) => ({ key, and, value: row * row + 3 * column + row * column })),
        );
        const at = (list: number[], where: readonly [number, number]) =>
          between(
            list.map((key) => ({ key, value: 0 })),
            where,
          ).key;
        for (const how of ['step', 'linear'] as const) {
          const chart = two(table, how);
          const [low = 0, high = 0] = [at(firsts, a), at(firsts, b)].sort((x, y) => x - y);
          const [less = 0, more = 0] = [at(seconds, c), at(seconds, d)].sort((x, y) => x - y);
          expect(lookUp(chart, high, more)).toBeGreaterThanOrEqual((lookUp(chart, low, less) ?? NaN) - 1e-9);
        }
      }),
    );
  });
});
