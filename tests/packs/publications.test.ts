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

test('a text that is replaced between its earliest day and the day at the place never stands there', () => {
  const at = (instant: string) => Date.parse(instant);
  const month = { pack: { ...own('2'), from: '2026-07-01' }, effective: at('2026-06-01T00:00Z') };
  const all = [
    published('1', 0, 0),
    { ...month, publishedAt: month.effective },
    published('3', at('2026-06-30T12:00Z'), at('2026-06-30T12:00Z')),
  ];
  const book = new PackBook(editionsOf([], all));
  const versions = (zone: string, instant: string) =>
    book.at(at(instant), { zone, jurisdictions: [] }).packs.map(({ version }) => version);
  expect(versions('America/New_York', '2026-06-30T11:59Z')).toEqual(['1']);
  expect(versions('America/New_York', '2026-06-30T12:00Z')).toEqual(['3']);
  expect(versions('America/New_York', '2026-07-01T04:00Z')).toEqual(['3']);
  // Where its day had begun it stood until then.
  expect(versions('Pacific/Kiritimati', '2026-06-30T11:59Z')).toEqual(['2']);
  expect(versions('Pacific/Kiritimati', '2026-06-30T12:00Z')).toEqual(['3']);
});

const hour = 3_600_000;
const dated = fc
  .array(
    fc.record({
      effective: fc.integer({ min: 0, max: 72 }),
      publishedAt: fc.integer({ min: 0, max: 72 }),
      from: fc.option(fc.constantFrom('2026-06-30', '2026-07-01', '2026-07-02'), { nil: undefined }),
    }),
    { minLength: 1, maxLength: 6 },
  )
  .map((all) => {
    const start = Date.parse('2026-06-29T06:00Z');
    const instants = all.map(({ publishedAt }) => publishedAt).sort((a, b) => a - b);
    return all.map(({ effective, from }, index): Publication => {
      const one = published(String(index), start + effective * hour, start + (instants[index] ?? 0) * hour);
      return from === undefined ? one : { ...one, pack: { ...one.pack, from } };
    });
  });

test('at every place exactly one text of a pack stands once the first has begun there, whatever their days', () => {
  let more = 0;
  fc.assert(
    fc.property(
      dated,
      fc.constantFrom('America/New_York', 'Pacific/Kiritimati', 'Pacific/Pago_Pago', 'UTC'),
      fc.integer({ min: 0, max: 120 }),
      (all, zone, hours) => {
        const book = new PackBook(editionsOf([own('shipped')], all));
        const { packs } = book.at(Date.parse('2026-06-29T06:00Z') + hours * hour, { zone, jurisdictions: [] });
        expect(packs).toHaveLength(1);
        if (packs[0]?.version !== 'shipped') more += 1;
      },
    ),
    { numRuns: 400 },
  );
  expect(more).toBeGreaterThan(200);
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
