import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { lookUp } from '../../src/packs/chart.js';
import type { Chart, ChartRow, Check, Duty, Limit, Pack } from '../../src/packs/model.js';
import { readPack } from '../../src/packs/reader/index.js';
import { diffPacks } from '../../src/trials/diff/index.js';
import { diffSets } from '../../src/trials/diff/sets.js';
import { bumps } from '../../src/trials/diff/version.js';

const { pack } = readPack(await readFile('tests/packs/whole.good.yaml', 'utf8'), 'pack.yaml');
if (pack === undefined) throw new Error('no pack');
const whole: Pack = { ...pack, charts: [] };

/** What the change of one part asks for, there and back. */
function asks(before: Pack, after: Pack): [string, string] {
  return [diffPacks(before, after).version.asks, diffPacks(after, before).version.asks];
}
const rule = <T extends Check | Duty>(kind: T['kind'], change: Partial<T>): Pack => {
  const first = whole.rules.find((one) => one.kind === kind) as T;
  return { ...whole, rules: [{ ...first, ...change }] };
};

const minutes = (value: number) => value * 60;
const table = (rows: readonly (readonly [number, number, number])[], more: Partial<Chart> = {}): Chart => ({
  id: 'own/two',
  title: 'Two',
  answers: 'own-time',
  by: 'run.developer.temperature',
  and: 'developer.age',
  gives: 'run.developer.time',
  for: {},
  units: { by: '[degF]', and: 'd', gives: 'min' },
  rows: rows.map(([key, and, value]): ChartRow => ({ key, and, value: minutes(value) })),
  doubtful: [],
  citation: whole.rules[0]?.citation ?? { text: '', read: 'practice' },
  ...more,
});
const limit: Limit = {
  id: 'own-time',
  of: 'run.developer.time',
  for: {},
  min: { kind: 'chart', chart: 'own/two' },
  severity: 'warning',
  citation: { text: 'common practice, no source', read: 'practice' },
};
const withChart = (chart: Chart, more: Partial<Limit> = {}): Pack => ({
  ...whole,
  layer: 'clinic',
  rules: [],
  limits: [{ ...limit, ...more }],
  charts: [chart],
});
const rows = [
  [20, 0, 5],
  [20, 30, 5.5],
  [22, 0, 4],
  [22, 30, 4.5],
] as const;

describe('charts', () => {
  const chart = table(rows);

  test('of two facts cell by cell, in the units as written', () => {
    const cut = table(rows.map(([key, and, value]) => [key, and, value - 1] as const));
    expect(
      diffPacks(withChart(chart), withChart(cut)).changes[0]?.fields.map(({ field, after }) => [field, after]),
    ).toEqual([
      ['at 68 [degF], 0 d', '4 min'],
      ['at 68 [degF], 30 d', '4.5 min'],
      ['at 71.6 [degF], 0 d', '3 min'],
      ['at 71.6 [degF], 30 d', '3.5 min'],
    ]);
    expect(asks(withChart(chart), withChart(cut))).toEqual(['major', 'minor']);
  });

  test.each([
    ['a doubtful cell', { doubtfulCells: [[20, 0]] as const }, ['major', 'minor']],
    ['a gap', { gaps: [{ of: 'by', from: 20, to: 22 }] as const }, ['major', 'minor']],
    ['exact', { lookup: 'exact' }, ['major', 'major']],
    ['linear', { lookup: 'linear' }, ['major', 'major']],
    ['the lookup that none stands for', { lookup: 'step' }, ['none', 'none']],
    ['fewer lines', { for: { method: ['manual'] } }, ['major', 'minor']],
    ['another word on the title', { title: 'Other' }, ['patch', 'patch']],
    ['looked up by one fact', { and: undefined }, ['major', 'major']],
  ] as const)('%s', (_what, change, expected) => {
    expect(asks(withChart(chart), withChart({ ...chart, ...change } as Chart))).toEqual(expected);
  });

  test('gaps are told in the units of their column', () => {
    const gap = { ...chart, gaps: [{ of: 'by', from: 20, to: 22 } as const, { of: 'and', from: 0, to: 30 } as const] };
    const fields = diffPacks(withChart(chart), withChart(gap)).changes[0]?.fields ?? [];
    expect(fields.find(({ field }) => field === 'gaps')?.after).toBe('68 [degF] to 71.6 [degF], 0 d to 30 d');
  });

  test('of one side only: a maximum that rises is looser', () => {
    const more = table(rows.map(([key, and, value]) => [key, and, value + 1] as const));
    const max = { min: undefined, max: limit.min } as Partial<Limit>;
    expect(asks(withChart(chart, max), withChart(more, max))).toEqual(['major', 'minor']);
  });

  test("a maker's sheet takes the place of another bound: no change of it is surely tighter", () => {
    const sheet = (one: Chart[]): Pack => ({ ...withChart(chart), layer: 'maker', limits: [], charts: one });
    const more = table(rows.map(([key, and, value]) => [key, and, value + 1] as const));
    expect(asks(sheet([chart]), sheet([more]))).toEqual(['major', 'major']);
    expect(asks(sheet([]), sheet([chart]))).toEqual(['major', 'major']);
    expect(asks(sheet([chart]), { ...sheet([chart]), to: '2030-01-01' })).toEqual(['major', 'major']);
  });

  test('no lower answer anywhere passes for less than major', () => {
    const cell = fc.record({
      key: fc.integer({ min: 0, max: 4 }),
      and: fc.integer({ min: 0, max: 3 }),
      value: fc.integer({ min: 1, max: 3 }),
    });
    const some = fc
      .record({
        cells: fc.uniqueArray(cell, { selector: ({ key, and }) => `${key}/${and}`, minLength: 1, maxLength: 8 }),
        doubtful: fc.uniqueArray(fc.integer({ min: 0, max: 4 }), { maxLength: 1 }),
        lookup: fc.constantFrom('step' as const, 'linear' as const, 'exact' as const),
      })
      .map(({ cells, doubtful, lookup }) =>
        table(
          cells.sort((a, b) => a.key - b.key || a.and - b.and).map(({ key, and, value }) => [key, and, value] as const),
          { doubtful, lookup },
        ),
      );
    let looser = 0;
    fc.assert(
      fc.property(some, some, (a, b) => {
        const now = { ...b, lookup: a.lookup };
        let isLower = false;
        for (let key = 0; key <= 4; key += 0.25)
          for (let and = 0; and <= 3; and += 0.25) {
            const [before, after] = [lookUp(a, key, and), lookUp(now as Chart, key, and)];
            if (before !== undefined && (after === undefined || after < before - 1e-6)) isLower = true;
          }
        looser += isLower ? 1 : 0;
        const asked = diffPacks(withChart(a), withChart(now as Chart)).version.asks;
        if (isLower) expect(asked).toBe('major');
        else expect(bumps.indexOf(asked)).toBeLessThan(bumps.indexOf('major'));
      }),
      { numRuns: 300 },
    );
    expect(looser).toBeGreaterThan(10);
  });
});

describe('limits', () => {
  const of = (more: Partial<Limit>): Pack => ({ ...whole, rules: [], limits: [{ ...limit, ...more }] });
  const period = (count: number, unit: 'h' | 'd') =>
    ({ min: undefined, max: { kind: 'period', period: { count, unit } } }) as const;

  test.each([
    ['fewer lines', of({}), of({ for: { method: ['manual'] } }), ['major', 'minor']],
    ['other lines', of({ for: { method: ['automatic'] } }), of({ for: { method: ['manual'] } }), ['major', 'major']],
    [
      'fewer lines of one bath',
      of({ for: { method: ['automatic', 'manual'] } }),
      of({ for: { method: ['manual'], bath: ['fixer'] } }),
      ['major', 'minor'],
    ],
    ['a role', of({}), of({ role: 'alternative' }), ['major', 'major']],
    ['24 hours, or a day', of(period(24, 'h') as never), of(period(1, 'd') as never), ['major', 'major']],
    ['the same period', of(period(24, 'h') as never), of(period(24, 'h') as never), ['none', 'none']],
  ] as const)('%s', (_what, before, after, expected) => {
    expect(asks(before, after)).toEqual(expected);
  });
});

describe('rules', () => {
  const heard = { on: ['film.processed', 'film.refixed'], for: { method: ['manual', 'automatic'] } } as const;
  const check = (clears: 'never' | 'passing', more: Partial<Check> = {}) =>
    rule<Check>('check', { ...heard, clears, hold: undefined, ...more });
  const condition = { fact: 'run.films', operator: 'greaterThan', value: 3 } as const;
  const duty = (more: Partial<Duty>) => rule<Duty>('duty', { cadence: { kind: 'every', films: 30 }, ...more });
  const week = { count: 1, unit: 'wk' } as const;
  const strip = { event: 'stepwedge.read', with: {}, has: [] };
  const film = { event: 'testfilm.read', with: {}, has: [] };

  test.each([
    ['an event dropped', check('never'), check('never', { on: ['film.refixed'] }), ['major', 'minor']],
    ['an event that can clear', check('passing', { on: ['film.refixed'] }), check('passing'), ['major', 'major']],
    ['fewer lines', check('never'), check('never', { for: { method: ['manual'] } }), ['major', 'minor']],
    ['lines that can clear', check('passing', { for: { method: ['manual'] } }), check('passing'), ['major', 'major']],
    ['a hold removed', check('never', { hold: 'line' }), check('never'), ['major', 'minor']],
    ['a finding that clears', check('never'), check('passing'), ['major', 'minor']],
    ['another re-test', check('passing'), check('passing', { clearedBy: condition }), ['major', 'minor']],
    ['another condition', check('never'), check('never', { when: condition }), ['major', 'major']],
    ['a severity by a limit', check('never'), check('never', { severity: 'law' }), ['major', 'major']],
    ['another cause', check('never', { cause: 'a' }), check('never', { cause: 'b' }), ['minor', 'minor']],
    ['more films', duty({}), duty({ cadence: { kind: 'every', films: 3000 } }), ['major', 'minor']],
    ['a week dropped', duty({ cadence: { kind: 'every', films: 30, period: week } }), duty({}), ['major', 'minor']],
    [
      'seven days for a week',
      duty({ cadence: { kind: 'every', period: week } }),
      duty({ cadence: { kind: 'every', period: { count: 7, unit: 'd' } } }),
      ['patch', 'patch'],
    ],
    ['another way to do it', duty({ must: [strip] }), duty({ must: [strip, film] }), ['major', 'minor']],
    ['due when used', duty({ counts: 'always' }), duty({ counts: 'whenUsed' }), ['major', 'minor']],
    ['shorter notice', duty({ remind: week }), duty({ remind: { count: 1, unit: 'd' } }), ['patch', 'patch']],
  ] as const)('%s', (_what, before, after, expected) => {
    expect(asks(before, after)).toEqual(expected);
  });

  test('a field that is not known here asks for major', () => {
    const grown = whole.rules.map((one) => ({ ...one, fresh: true }));
    expect(asks(whole, { ...whole, rules: grown })).toEqual(['major', 'major']);
  });
});

describe('a pack in force', () => {
  test.each([
    ['until a day', { ...whole, to: undefined }, { ...whole, to: '2026-12-31' }, ['major', 'minor']],
    ['later', { ...whole, from: '2020-01-01' }, { ...whole, from: '2026-12-31' }, ['major', 'minor']],
  ] as const)('%s', (_what, before, after, expected) => {
    expect(asks(before as Pack, after as Pack)).toEqual(expected);
  });

  const first: Pack = { ...whole, from: undefined, to: '2026-04-30' } as never;
  const second: Pack = { ...whole, version: '2.0.0', from: '2026-05-01', to: undefined, rules: [] } as never;

  test('two editions in one folder are each compared with themselves', () => {
    expect(diffSets([first, second], [second, first])).toEqual({ packs: [], added: [], removed: [] });
  });

  test('a new edition is told, and held against the one it follows', () => {
    const told = diffSets([{ ...first, to: undefined } as never], [first, second]);
    expect(told.added).toEqual(['us-xx/processing 2.0.0']);
    expect(told.removed).toEqual([]);
    expect(told.packs.map(({ before, after, version }) => [before.version, after.version, version])).toEqual([
      ['1.2.0', '1.2.0', { asks: 'none', proposed: '1.2.0', follows: true }],
      ['1.2.0', '2.0.0', { asks: 'major', proposed: '2.0.0', follows: true }],
    ]);
    expect(diffSets([first, second], [first]).removed).toEqual(['us-xx/processing 2.0.0']);
  });

  test('an end that no edition follows is looser', () => {
    const late = { ...second, from: '2026-05-02' };
    const [own] = diffSets([{ ...first, to: undefined } as never], [first, late]).packs;
    expect(own?.version).toMatchObject({ asks: 'major', follows: false });
  });
});
