import { describe, expect, test } from '@jest/globals';
import { signs } from '../../src/events/signs.js';
import { knowledgeOf, membersOf, modelOf, type Knowledge } from '../../src/packs/defects.js';
import { loadPacks } from '../../src/packs/load.js';
import { inferCauses } from '../../src/radiography/defects/inference.js';
import { answered } from '../published/answer.js';
import { publishedTables, type PublishedTable } from './published-tables.js';

const { packs } = await loadPacks('rules');
const knowledge = knowledgeOf(packs);

/** Given the sign alone, the rank of a listed cause; that of an umbrella is that of its best member. */
function ranksOf(model: ReturnType<typeof modelOf>, sign: string, causes: readonly string[]): number[] {
  const { causes: ranked } = answered(inferCauses(model, { seen: [sign] }));
  // What cannot make the sign is not in the running, however common it is.
  const order = ranked.map(({ id }) => id).filter((id) => model.find((one) => one.id === id)?.signs.has(sign) === true);
  return causes.map((cause) => {
    const places = membersOf(knowledge.causes, cause)
      .map((id) => order.indexOf(id))
      .filter((place) => place >= 0);
    return places.length === 0 ? Infinity : Math.min(...places) + 1;
  });
}

const tops = [1, 3, 5] as const;
interface Hits {
  /** Rows with a listed cause among the first one, three, five; listed causes among them. */
  readonly rows: readonly number[];
  readonly causes: readonly number[];
  readonly ofRows: number;
  readonly ofCauses: number;
}

function hitsOf(table: PublishedTable, without: readonly string[], known = knowledge): Hits {
  const model = modelOf(known, without);
  const ranks = table.rows.map(([sign, causes]) => ranksOf(model, sign, causes));
  const flat = ranks.flat();
  return {
    rows: tops.map((top) => ranks.filter((row) => Math.min(...row) <= top).length),
    causes: tops.map((top) => flat.filter((rank) => rank <= top).length),
    ofRows: ranks.length,
    ofCauses: flat.length,
  };
}

/** What the tables alone know: pairs that only the trade tells of are gone, and its word on how often. */
const tablesAlone: Knowledge = {
  ...knowledge,
  causes: new Map(
    [...knowledge.causes].map(([id, cause]) => [
      id,
      { ...cause, shows: cause.shows.flatMap(({ sign, tables }) => (tables.length === 0 ? [] : [{ sign, tables }])) },
    ]),
  ),
};

const sum = (all: readonly Hits[]): Hits => ({
  rows: tops.map((_, n) => all.reduce((total, { rows }) => total + (rows[n] ?? 0), 0)),
  causes: tops.map((_, n) => all.reduce((total, { causes }) => total + (causes[n] ?? 0), 0)),
  ofRows: all.reduce((total, { ofRows }) => total + ofRows, 0),
  ofCauses: all.reduce((total, { ofCauses }) => total + ofCauses, 0),
});
const percent = (of: number, all: number) => (100 * of) / all;
const line = (name: string, { rows, causes, ofRows, ofCauses }: Hits) =>
  `${name.padEnd(10)} rows ${rows.map((each) => percent(each, ofRows).toFixed(0).padStart(4)).join('')} %   causes ${causes.map((each) => percent(each, ofCauses).toFixed(0).padStart(4)).join('')} %   (${ofRows} rows, ${ofCauses} causes)`;

describe('published tables, given the sign alone: among the first 1, 3 and 5', () => {
  const whole = publishedTables.map((table) => hitsOf(table, []));
  const apart = publishedTables.map((table) => hitsOf(table, [table.lineage]));
  const [all, left] = [sum(whole), sum(apart)];
  const bare = sum(publishedTables.map((table) => hitsOf(table, [table.lineage], tablesAlone)));
  console.log(
    [
      'with all tables',
      ...publishedTables.map(({ id }, n) => line(id, whole[n] ?? all)),
      line('overall', all),
      'each without its own lineage',
      ...publishedTables.map(({ id }, n) => line(id, apart[n] ?? left)),
      line('overall', left),
      'each without its own lineage, and without common practice',
      line('overall', bare),
    ].join('\n'),
  );

  test('nine listed causes of ten are among the first five, and a cause of every row but few', () => {
    expect(percent(all.causes[2] ?? 0, all.ofCauses)).toBeGreaterThanOrEqual(90);
    expect(percent(all.rows[2] ?? 0, all.ofRows)).toBeGreaterThanOrEqual(90);
  });

  test('three of four, where the tables of the same lineage were not known', () => {
    expect(percent(left.causes[2] ?? 0, left.ofCauses)).toBeGreaterThanOrEqual(75);
    expect(percent(left.rows[2] ?? 0, left.ofRows)).toBeGreaterThanOrEqual(75);
  });

  test('a cause of three rows in four, where nothing but the other tables was known', () => {
    expect(percent(bare.rows[2] ?? 0, bare.ofRows)).toBeGreaterThanOrEqual(75);
  });
});

describe('the knowledge', () => {
  test('has every pair of the tables, with the table beside it', () => {
    for (const { id, rows } of publishedTables)
      for (const [sign, causes] of rows)
        for (const cause of causes) {
          const shown = knowledge.causes.get(cause)?.shows.find((each) => each.sign === sign);
          expect([id, sign, cause, shown?.tables.includes(id)]).toEqual([id, sign, cause, true]);
        }
  });

  test('says no more of a table than the table does', () => {
    const listed = new Set(
      publishedTables.flatMap(({ id, rows }) =>
        rows.flatMap(([sign, causes]) => causes.map((cause) => `${id} ${sign} ${cause}`)),
      ),
    );
    for (const { id, shows } of knowledge.causes.values())
      for (const { sign, tables } of shows)
        for (const table of tables) expect(listed).toContain(`${table} ${sign} ${id}`);
  });

  test('describes every sign, and has a cause for each', () => {
    expect([...knowledge.signs.keys()].sort()).toEqual([...signs].sort());
    const made = new Set(modelOf(knowledge).flatMap(({ signs: own }) => [...own.keys()]));
    expect(signs.filter((sign) => !made.has(sign))).toEqual([]);
  });

  test('shares sum to about one film: more than one cause may be at work', () => {
    const total = modelOf(knowledge).reduce((all, { prior }) => all + prior, 0);
    expect(total).toBeGreaterThan(0.9);
    expect(total).toBeLessThan(1.2);
  });

  test('no umbrella is a name for itself', () => {
    for (const { id, of = [] } of knowledge.causes.values())
      if (of.length > 0) expect(membersOf(knowledge.causes, id).length).toBeGreaterThan(0);
  });
});
