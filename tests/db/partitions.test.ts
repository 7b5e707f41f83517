import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import pg from 'pg';
import { openPostgresql } from '../../src/db/postgresql.js';
import { arrangeMonths, partsOfLedger } from '../../src/db/partitions.js';
import type { Database } from '../../src/db/port.js';
import { readLedger } from '../../src/db/sql/read-ledger.js';
import { migrate } from '../../src/db/migrate.js';
import { readMigrations } from '../../src/db/migrations.js';
import { createTestDatabase, describeEachDatabase, testDatabases } from '../support/database.js';
import type { TestDatabase } from '../support/database.js';
import { insertEvent, insertOrganisation } from './rows.js';

const now = Date.UTC(2026, 10, 25);
const utc = (year: number, month: number, day = 1) => Date.UTC(year, month - 1, day);

interface Place {
  readonly id: string;
  readonly part: string;
}

describeEachDatabase('the ledger by month', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
    await database.withOrganisation('north', (tx) => insertOrganisation(tx, 'north'));
  });
  afterAll(() => database.drop());
  // `tableoid` is a column of the whole, so it says in which part a row lies without a right to the part.
  const places = (prefix: string, organisation = 'north') =>
    database.withOrganisation(organisation, (tx) =>
      tx.query<Place>(
        `SELECT id, tableoid::regclass::text AS part FROM event WHERE id LIKE $1 ORDER BY at, id`,
        `${prefix}%`,
      ),
    );
  const add = (id: string, at: number, organisation = 'north') =>
    database.withOrganisation(organisation, (tx) => insertEvent(tx, { organisation, id, at }));

  test('more months than a ledger can need are refused', async () => {
    await expect(arrangeMonths(database, now, { ahead: 40_000 })).rejects.toThrow('600 months');
    expect(await partsOfLedger(database)).toHaveLength(2);
  });

  test('every instant has a place before any month is made, and months take what lies in them', async () => {
    const far = now + 800 * 86_400_000;
    await add('a long ago', utc(1999, 6));
    await add('a in a month', utc(2026, 3, 31) + 86_399_999);
    await add('a next', utc(2026, 4));
    await add('a south', utc(2026, 4, 2), 'south');
    await add('a far', far);
    expect(new Set((await places('a')).map(({ part }) => part))).toEqual(new Set(['event_early', 'event_late']));

    const arranged = await arrangeMonths(database, now, { ahead: 1000 });
    expect(arranged).toMatchObject({ made: expect.arrayContaining(['event_2026_03', 'event_2026_04']) });
    expect(await places('a')).toEqual([
      { id: 'a long ago', part: 'event_early' },
      { id: 'a in a month', part: 'event_2026_03' },
      { id: 'a next', part: 'event_2026_04' },
      { id: 'a far', part: `event_${new Date(far).toISOString().slice(0, 7).replace('-', '_')}` },
    ]);
    // Rows of every organisation moved, and each still sees its own alone.
    expect(await places('a', 'south')).toEqual([{ id: 'a south', part: 'event_2026_04' }]);

    const parts = await partsOfLedger(database);
    expect(parts.at(0)).toMatchObject({ name: 'event_early', from: null, to: utc(2026, 3) });
    expect(parts.at(-1)).toMatchObject({ name: 'event_late', to: null });
    for (const [index, part] of parts.entries()) {
      if (index > 0) expect(part.from).toBe(parts[index - 1]?.to);
    }
    expect(await arrangeMonths(database, now, { ahead: 1000 })).toEqual({ made: [] });
  });

  test('history that comes later gets its months at the next run; more rows than may move stay, and are accepted', async () => {
    for (let day = 1; day <= 5; day++) await add(`b old-${day}`, utc(2025, 7, day));
    expect(await arrangeMonths(database, now, { mostRows: 5 })).toEqual({ made: [] });
    expect(new Set((await places('b')).map(({ part }) => part))).toEqual(new Set(['event_early']));
    await add('b one more', utc(2025, 7, 6));
    expect(await arrangeMonths(database, now)).toMatchObject({ made: expect.arrayContaining(['event_2025_07']) });
    expect((await places('b')).map(({ part }) => part)).toEqual(Array(6).fill('event_2025_07'));
    await expect(add('b old-1', utc(2025, 7, 1))).rejects.toMatchObject({ code: '23505' });
  });

  test('a month made ahead of time takes events when its time has come, row-level security as ever', async () => {
    await add('c to come', utc(2027, 1, 15));
    expect(await places('c')).toEqual([{ id: 'c to come', part: 'event_2027_01' }]);
    expect(await places('c', 'south')).toEqual([]);
    await expect(
      database.withOrganisation('south', (tx) => insertEvent(tx, { organisation: 'north', id: 'x', at: now })),
    ).rejects.toMatchObject({ code: '42501' });
    await expect(
      database.withOrganisation('north', (tx) => tx.query('SELECT * FROM event_2027_01')),
    ).rejects.toMatchObject({ code: '42501' });
  });
});

const server = testDatabases().filter(({ name }) => name === 'postgresql');
if (server.length > 0) {
  describe('the ledger by month (postgresql)', () => {
    let own: { url: string; drop: () => Promise<void> };
    let database: Database;
    beforeAll(async () => {
      own = await createTestDatabase(process.env['TEST_DATABASE_URL'] ?? '');
      // As an installation of before: rows are there when the ledger is parted.
      const client = new pg.Client({ connectionString: own.url });
      await client.connect();
      const migrations = await readMigrations();
      await migrate(client, migrations.slice(0, 2));
      // Ten years of one site, one event in two hours.
      await client.query(
        `INSERT INTO event SELECT 'north', 'site-1', $1::bigint + n * 7200000::bigint, 4, 'pms', 'e-' || n, 'day.opened', NULL, '{}', 0
         FROM generate_series(0, 12 * 3652) n`,
        [utc(2016, 12)],
      );
      await client.query(
        `INSERT INTO event SELECT 'south', site, at, rank, source, id, type, subject, data, received_at FROM event WHERE at % 10 = 0 LIMIT 1000`,
      );
      await client.end();
      database = await openPostgresql(own.url);
    });
    afterAll(async () => {
      await database.close();
      await own.drop();
    });
    const north = <Row>(sql: string, ...values: unknown[]) =>
      database.withOrganisation('north', (tx) => tx.query<Row>(sql, ...values));

    test('moves ten years of existing rows into months, losing and doubling none', async () => {
      const digest = `SELECT count(*)::int AS n, md5(string_agg(id, ',' ORDER BY at)) AS md5 FROM event`;
      const before = await north(digest);
      const [first] = await Promise.all([0, 1, 2].map(() => arrangeMonths(database, now)));
      expect(first).toBeDefined();
      expect(await north(digest)).toEqual(before);
      const counted = await north<{ parts: number; early: number }>(
        `SELECT count(DISTINCT tableoid)::int AS parts, count(*) FILTER (WHERE tableoid = 'event_early'::regclass)::int AS early FROM event`,
      );
      expect(counted[0]).toEqual({ parts: 121, early: 0 });
      const south = await database.withOrganisation('south', (tx) =>
        tx.query<{ n: number }>('SELECT count(*)::int AS n FROM event'),
      );
      expect(south).toEqual([{ n: 1000 }]);
    });

    /** A page of one site as the replay asks for it, with a plan that is made once for all values. */
    async function plan(from: number, rows: number): Promise<string> {
      return database.withOrganisation('north', async (tx) => {
        await tx.execute(`PREPARE page (text, text, float8, int, text, text, float8, int) AS ${readLedger}`);
        await tx.execute(`SET plan_cache_mode = force_generic_plan`);
        const lines = await tx.query<{ 'QUERY PLAN': string }>(
          `EXPLAIN (ANALYZE, COSTS OFF, TIMING OFF, SUMMARY OFF)
           EXECUTE page('north', 'site-1', ${from}, -1, '', '', 9007199254740991, ${rows})`,
        );
        await tx.execute('DEALLOCATE page');
        await tx.execute('RESET plan_cache_mode');
        return lines.map((line) => line['QUERY PLAN']).join('\n');
      });
    }

    test('a page of a ledger of ten years reads the months it needs, in the order of the index', async () => {
      const recent = await plan(utc(2026, 11), 2000);
      // December on is empty, but begun; all before November is left out before it begins.
      expect(recent.match(/Index Scan using event_\d+_\d+_pkey/g)?.length).toBeLessThanOrEqual(6);
      expect(Number(/Subplans Removed: (\d+)/.exec(recent)?.[1])).toBeGreaterThan(115);
      const first = await plan(-9_007_199_254_740_991, 500);
      // Parts follow each other in time, so those after the page are planned and never begun.
      expect(first.match(/never executed/g)?.length).toBeGreaterThan(115);
      for (const text of [recent, first]) expect(text).not.toMatch(/Sort|Merge/);
    });

    test('while somebody holds the ledger for long the job gives up, and works at the next run', async () => {
      const holder = new pg.Client({ connectionString: own.url });
      await holder.connect();
      await holder.query('BEGIN; LOCK TABLE event IN ACCESS SHARE MODE');
      const later = now + 400 * 86_400_000;
      const held = await arrangeMonths(database, later);
      await holder.query('ROLLBACK');
      await holder.end();
      expect(held).toEqual({ busy: true });
      expect(await arrangeMonths(database, later)).toMatchObject({ made: expect.arrayContaining(['event_2027_12']) });
    });
  });
}
