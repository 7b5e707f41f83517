import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { DatabaseUnavailableError, sqlState } from '../../src/db/errors.js';
import type { Transaction } from '../../src/db/port.js';
import { describeEachDatabase } from '../support/database.js';
import type { TestDatabase } from '../support/database.js';
import { insertEvent, insertOrganisation } from './rows.js';

const rejection = (attempt: Promise<unknown>) =>
  attempt.then(
    () => Promise.reject(new Error('It was not refused.')),
    (error: unknown) => error,
  );

describeEachDatabase('a transaction', (open) => {
  let database: TestDatabase;
  const north = <T>(work: (tx: Transaction) => Promise<T>, retry = false) =>
    database.withOrganisation('north', work, { retry });
  const events = () => north((tx) => tx.query<{ id: string }>('SELECT id FROM event ORDER BY id'));

  beforeAll(async () => {
    database = await open();
    await north((tx) => insertOrganisation(tx, 'north'));
  });
  afterAll(() => database.drop());

  test('is kept when the work resolves and undone when it rejects, raw statements and Prisma alike', async () => {
    await north((tx) => insertEvent(tx, { organisation: 'north', id: 'kept' }));
    const error = await rejection(
      north(async (tx) => {
        await insertEvent(tx, { organisation: 'north', id: 'undone' });
        await tx.prisma.organisation.update({ where: { organisation: 'north' }, data: { name: 'undone' } });
        throw new Error('changed my mind');
      }),
    );
    expect(error).toEqual(new Error('changed my mind'));
    expect(await events()).toEqual([{ id: 'kept' }]);
    const name = await north((tx) => tx.prisma.organisation.findUniqueOrThrow({ where: { organisation: 'north' } }));
    expect(name).toMatchObject({ name: 'Office north', createdAt: 1_767_225_600_000n });
  });

  test('Prisma sees what raw statements of the same transaction wrote, and the other way round', async () => {
    await north(async (tx) => {
      await tx.prisma.apiKey.create({
        data: { organisation: 'north', id: 'k1', name: 'one', secretHash: 'h', scopes: ['admin'], createdAt: 1n },
      });
      const rows = await tx.query('SELECT id, scopes, sites FROM api_key');
      expect(rows).toEqual([{ id: 'k1', scopes: ['admin'], sites: null }]);
      await tx.execute(`UPDATE api_key SET name = 'two'`);
      const key = await tx.prisma.apiKey.upsert({
        where: { organisation_id: { organisation: 'north', id: 'k1' } },
        update: { revokedAt: 2n },
        create: { organisation: 'north', id: 'k1', name: '', secretHash: '', scopes: [], createdAt: 1n },
      });
      expect(key).toMatchObject({ name: 'two', revokedAt: 2n });
    });
  });

  test('values come back as they went in; bigint and numeric as numbers', async () => {
    const [row] = await north((tx) =>
      tx.query(
        `SELECT $1::bigint AS instant, $2::text AS text, $3::boolean AS yes, $4::float8 AS real, $5::text::jsonb AS json,
                $6::text[] AS list, $7::bigint[] AS instants, $8::text AS nothing, $9::timestamptz AS time, 12.5::numeric AS number,
                (SELECT sum(x) FROM generate_series(1::bigint, 3) x) AS sum, pg_current_xact_id() AS xid`,
        1_767_225_600_123,
        `quotes ' " \\ $1 and 21 °C`,
        true,
        0.1,
        JSON.stringify([{ a: 1 }]),
        ['a', 'b "c"', null],
        [1, 2],
        null,
        new Date('2026-01-01T00:00:00.123Z'),
      ),
    );
    expect(row).toEqual({
      instant: 1_767_225_600_123,
      text: `quotes ' " \\ $1 and 21 °C`,
      yes: true,
      real: 0.1,
      json: [{ a: 1 }],
      list: ['a', 'b "c"', null],
      instants: [1, 2],
      nothing: null,
      time: new Date('2026-01-01T00:00:00.123Z'),
      number: 12.5,
      sum: 6,
      xid: expect.stringMatching(/^\d+$/),
    });
  });

  test('a bigint beyond 2^53 is refused, not rounded', async () => {
    const error = await rejection(north((tx) => tx.query('SELECT 9007199254740993::bigint AS n')));
    expect(error).toBeInstanceOf(RangeError);
    expect(await north((tx) => tx.query('SELECT 9007199254740991::bigint AS n'))).toEqual([
      { n: 9_007_199_254_740_991 },
    ]);
  });

  test.each([`north' OR '1'='1`, `north'; DROP TABLE event; --`, 'north\\', '$1', 'ß'])(
    'an organisation called %j is only a name',
    async (organisation) => {
      expect(await database.withOrganisation(organisation, (tx) => tx.query('SELECT * FROM organisation'))).toEqual([]);
      await database.withOrganisation(organisation, (tx) => insertOrganisation(tx, organisation));
      const rows = await database.withOrganisation(organisation, (tx) =>
        tx.query('SELECT organisation FROM organisation'),
      );
      expect(rows).toEqual([{ organisation }]);
      expect(await database.organisations()).toContain(organisation);
    },
  );

  test('an organisation with a NUL character is refused and the connection stays good', async () => {
    expect(await rejection(database.withOrganisation('a\0b', (tx) => tx.query('SELECT 1')))).toBeInstanceOf(RangeError);
    expect(await north((tx) => tx.query('SELECT 1 AS one'))).toEqual([{ one: 1 }]);
  });

  test('statements sent together run one after another', async () => {
    const rows = await north((tx) =>
      Promise.all([1, 2, 3, 4].map((n) => tx.query<{ n: number }>('SELECT $1::int AS n', n))),
    );
    expect(rows.flat()).toEqual([{ n: 1 }, { n: 2 }, { n: 3 }, { n: 4 }]);
  });

  test('a statement after the end is refused, raw or through Prisma', async () => {
    const [kept, prisma] = await north((tx) => Promise.resolve([tx, tx.prisma] as const));
    expect(String(await rejection(kept.query('SELECT 1')))).toContain('The transaction is over');
    expect(() => kept.prisma).toThrow('The transaction is over');
    expect(String(await rejection(Promise.resolve(prisma.event.findMany())))).toContain('The transaction is over');
  });

  test('nothing is committed, and that is said, when the error of a statement was swallowed', async () => {
    const error = await rejection(
      north(async (tx) => {
        await insertEvent(tx, { organisation: 'north', id: 'swallowed' });
        await tx.query('SELECT 1 / 0').catch(() => undefined);
      }),
    );
    expect(String(error)).toContain('Nothing was committed');
    expect(await events()).toEqual([{ id: 'kept' }]);
  });

  test('a transaction inside a transaction is refused instead of waiting for itself', async () => {
    const error = await rejection(north(() => north((tx) => tx.query('SELECT 1'))));
    expect(String(error)).toContain('A transaction inside a transaction');
    expect(String(await rejection(north(() => database.organisations())))).toContain('inside a transaction');
    expect(await north((tx) => tx.query('SELECT 1 AS one'))).toEqual([{ one: 1 }]);
  });

  test('errors carry their SQLSTATE, raw and through Prisma', async () => {
    expect(sqlState(await rejection(north((tx) => insertEvent(tx, { organisation: 'north', id: 'kept' }))))).toBe(
      '23505',
    );
    const twice = north((tx) =>
      tx.prisma.organisation.create({ data: { organisation: 'north', name: '', patientKey: '', createdAt: 0n } }),
    );
    expect(await rejection(twice)).toMatchObject({ code: 'P2002' });
    expect(sqlState(await rejection(twice))).toBe('23505');
    expect(sqlState(new Error('other'))).toBeUndefined();
  });

  test('two transactions that lock a row wait for each other: no increment is lost', async () => {
    await north((tx) =>
      tx.execute(`INSERT INTO site_head (organisation, site, updated_at) VALUES ('north', 'site-1', 0)`),
    );
    await Promise.all(
      Array.from({ length: 20 }, () =>
        north(async (tx) => {
          const [head] = await tx.query<{ events: number }>(
            `SELECT events FROM site_head WHERE site = 'site-1' FOR UPDATE`,
          );
          await tx.execute('UPDATE site_head SET events = $1', (head?.events ?? 0) + 1);
        }),
      ),
    );
    expect(await north((tx) => tx.query('SELECT events FROM site_head'))).toEqual([{ events: 20 }]);
  });

  test.each(['40001', '40P01'])(
    'after %s the work is tried again, three times in all, when that was asked for',
    async (state) => {
      let runs = 0;
      const work = (failures: number) => async (tx: Transaction) => {
        runs++;
        await insertEvent(tx, { organisation: 'north', id: `retried-${state}` });
        if (runs <= failures)
          await tx.execute(`DO $$ BEGIN RAISE EXCEPTION 'again' USING ERRCODE = '${state}'; END $$`);
      };
      expect(sqlState(await rejection(north(work(1))))).toBe(state);
      expect(runs).toBe(1);
      runs = 0;
      expect(sqlState(await rejection(north(work(3), true)))).toBe(state);
      expect(runs).toBe(3);
      runs = 0;
      await north(work(2), true);
      expect(runs).toBe(3);
      expect((await events()).filter(({ id }) => id === `retried-${state}`)).toHaveLength(1);
    },
  );

  test('other errors are not tried again', async () => {
    let runs = 0;
    await rejection(
      north(async (tx) => {
        runs++;
        await tx.query('SELECT 1 / 0');
      }, true),
    );
    expect(runs).toBe(1);
  });

  test('columns that the database fills: the number of a rejected event and the transaction of a change', async () => {
    await north(async (tx) => {
      const insert = `INSERT INTO rejected_event (organisation, received_at, faults) VALUES ('north', 0, '[]') RETURNING seq`;
      const [first] = await tx.query<{ seq: number }>(insert);
      const [second] = await tx.query<{ seq: number }>(insert);
      expect(second?.seq).toBeGreaterThan(first?.seq ?? NaN);
      const [change] = await tx.query<{ current: boolean }>(
        `INSERT INTO finding_change (organisation, site, seq, finding, revision, change, cause, at, content, previous_hash, hash)
         VALUES ('north', 'site-1', 1, 'f-1', 1, 'opened', 'live', 0, '{}', '', 'h') RETURNING xid = pg_current_xact_id() AS current`,
      );
      expect(change).toEqual({ current: true });
      expect(await tx.execute('DELETE FROM rejected_event WHERE seq = $1', first?.seq)).toBe(1);
    });
  });

  test('a long query leaves the event loop free', async () => {
    for (let rows = 2_000_000, took = 0; took < 500; rows *= 3) {
      let longest = 0;
      let last = performance.now();
      const timer = setInterval(() => {
        longest = Math.max(longest, performance.now() - last);
        last = performance.now();
      }, 5);
      const started = performance.now();
      await north((tx) => tx.query('SELECT count(*) FROM generate_series(1, $1::bigint) x WHERE x % 7 = 3', rows));
      took = performance.now() - started;
      clearInterval(timer);
      longest = Math.max(longest, performance.now() - last);
      expect(longest).toBeLessThan(Math.max(250, took / 2));
    }
  });

  test('closing waits for the transactions that are running or queued', async () => {
    const other = await open();
    const work = Array.from({ length: 12 }, (_, n) =>
      other.withOrganisation('north', (tx) => tx.query<{ n: number }>('SELECT $1::int AS n FROM pg_sleep(0.01)', n)),
    );
    await other.drop();
    expect((await Promise.all(work)).flat().map(({ n }) => n)).toEqual([...Array(12).keys()]);
  });

  test('answers liveness, and once closed says so', async () => {
    const other = await open();
    await other.ping();
    await other.drop();
    const errors = [
      await rejection(other.ping()),
      await rejection(other.withOrganisation('north', (tx) => tx.query('SELECT 1'))),
    ];
    for (const error of errors) expect(error).toBeInstanceOf(DatabaseUnavailableError);
  });
});
