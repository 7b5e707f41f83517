import { expect, test } from '@jest/globals';
import fc from 'fast-check';
import { PackBook } from '../../src/packs/book.js';
import type { Pack } from '../../src/packs/model.js';
import { editionsOf, type Publication } from '../../src/packs/publications.js';
import { shipped } from '../scenarios/stage.js';

const own = (version: string): Pack => ({
  id: 'own/office',
  version,
  title: 'Own',
  authority: 'The office',
  layer: 'clinic',
  limits: [],
  charts: [],
  rules: [],
  notKnown: [],
});
const published = (version: string, effective: number, publishedAt: number): Publication => ({
  pack: own(version),
  effective,
  publishedAt,
});
const told = (publications: readonly Publication[], base: readonly Pack[] = []) =>
  editionsOf(base, publications).map(({ pack, from, to }) => [pack.version, from, to]);

test('a later text takes the place of the one before from its instant on', () => {
  expect(told([published('1', 100, 100), published('2', 200, 200)])).toEqual([
    ['1', 100, 200],
    ['2', 200, Infinity],
  ]);
});

test('a back-dated text takes the place of all that stood since', () => {
  expect(told([published('1', 100, 100), published('2', 200, 200), published('3', 150, 300)])).toEqual([
    ['1', 100, 150],
    ['3', 150, Infinity],
  ]);
});

test('what was still to come stays on the calendar, unless the later word is for the same instant', () => {
  const scheduled = [published('1', 100, 100), published('2', 500, 110)];
  expect(told([...scheduled, published('3', 200, 200)])).toEqual([
    ['1', 100, 200],
    ['3', 200, 500],
    ['2', 500, Infinity],
  ]);
  expect(told([...scheduled, published('3', 500, 200)])).toEqual([
    ['1', 100, 500],
    ['3', 500, Infinity],
  ]);
});

test('a shipped pack of the same id gives way from the first instant on', () => {
  expect(told([published('2', 100, 100)], [own('1')])).toEqual([
    ['1', -Infinity, 100],
    ['2', 100, Infinity],
  ]);
});

test('a text for next year leaves the present one in force until its day begins there, and what is folded by then alone', () => {
  const noon = Date.parse('2026-06-01T12:00:00Z');
  const [now, next] = [own('1'), { ...own('2'), from: '2027-01-01' }];
  const first = { pack: now, effective: 0, publishedAt: 0 };
  const [before, after] = [[first], [first, { pack: next, effective: noon, publishedAt: noon }]].map(
    (all) => new PackBook(editionsOf([], all)),
  );
  for (const [zone, day] of [
    ['America/New_York', '2027-01-01T05:00:00Z'],
    ['Pacific/Kiritimati', '2026-12-31T10:00:00Z'],
  ] as const) {
    const place = { zone, jurisdictions: [] };
    const at = (instant: number) => after?.at(instant, place).packs.map(({ version }) => version);
    expect([at(noon), at(Date.parse(day) - 1), at(Date.parse(day))]).toEqual([['1'], ['1'], ['2']]);
  }
  const eve = Date.parse('2026-12-31T09:59:59Z');
  expect(after?.hashUpTo(eve)).toBe(before?.hashUpTo(eve));
  expect(after?.hashUpTo(eve + 1000)).not.toBe(before?.hashUpTo(eve + 1000));
});

const publications = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 40 })), { maxLength: 12 })
  .map((pairs) => {
    const instants = pairs.map(([, at]) => at).sort((a, b) => a - b);
    return pairs.map(([effective], index) => published(String(index), effective, instants[index] ?? 0));
  });

test('at every instant one text stands, from the first effective instant on, and the last word is among those that stand', () => {
  fc.assert(
    fc.property(publications, fc.integer({ min: 0, max: 45 }), (all, at) => {
      const editions = editionsOf([own('shipped')], all);
      expect(editions.filter(({ from, to }) => from <= at && at < to)).toHaveLength(1);
      const last = all.at(-1);
      if (last === undefined) return;
      expect(editions.find(({ pack }) => pack === last.pack)?.from).toBe(last.effective);
      // What is in force at its own instant is the last word itself.
      const there = editions.find(({ from, to }) => from <= last.effective && last.effective < to);
      expect(there?.pack).toBe(last.pack);
    }),
  );
});

test('what is published for later leaves the hash up to then as it was', () => {
  fc.assert(
    fc.property(publications, fc.integer({ min: 1, max: 40 }), fc.integer({ min: 0, max: 40 }), (all, ahead, at) => {
      const latest = all.at(-1)?.publishedAt ?? 0;
      const more = [...all, published('next', latest + ahead, latest)];
      const [before, after] = [all, more].map((each) => new PackBook(editionsOf(shipped.packs, each)));
      const same = before?.hashUpTo(at) === after?.hashUpTo(at);
      expect(same).toBe(at < latest + ahead);
      expect(before?.hash).not.toBe(after?.hash);
    }),
    { numRuns: 30 },
  );
});
