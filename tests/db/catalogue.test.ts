import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { arrangeMonths } from '../../src/db/partitions.js';
import type { Transaction } from '../../src/db/port.js';
import { describeEachDatabase } from '../support/database.js';
import type { TestDatabase } from '../support/database.js';

/**
 * What lets organisations be spread over several servers by a hash of their names, read from the database's own
 * catalogue, so that a table that is added and forgets it fails here.
 */
const tables = `
SELECT c.relname AS name, c.relrowsecurity AS enabled, c.relforcerowsecurity AS forced, c.relispartition AS part,
       (SELECT count(*) FROM pg_policy p WHERE p.polrelid = c.oid)::int AS policies,
       (SELECT count(*) FROM pg_index i WHERE i.indrelid = c.oid AND i.indisprimary)::int AS "primaryKeys",
       has_any_column_privilege(c.oid, 'SELECT, INSERT, UPDATE, REFERENCES') OR has_table_privilege(c.oid, 'DELETE, TRUNCATE, TRIGGER')
         AS reachable
FROM pg_class c
WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND c.relname <> '_prisma_migrations'
ORDER BY c.relname`;

const uniqueIndexes = `
SELECT c.relname AS "table", x.relname AS name, a.attname AS first
FROM pg_index i
JOIN pg_class c ON c.oid = i.indrelid
JOIN pg_class x ON x.oid = i.indexrelid
LEFT JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = i.indkey[0]
WHERE c.relnamespace = 'public'::regnamespace AND c.relname <> '_prisma_migrations' AND (i.indisunique OR i.indisprimary)`;

interface Table {
  readonly name: string;
  readonly enabled: boolean;
  readonly forced: boolean;
  readonly part: boolean;
  readonly policies: number;
  readonly primaryKeys: number;
  readonly reachable: boolean;
}

describeEachDatabase('the catalogue', (open) => {
  let database: TestDatabase;
  const read = <T>(work: (tx: Transaction) => Promise<T>) => database.withOrganisation('north', work);

  beforeAll(async () => {
    database = await open();
    await arrangeMonths(database, Date.now());
  });
  afterAll(() => database.drop());

  test('every table has row-level security, enabled and forced, and a policy', async () => {
    const whole = (await read((tx) => tx.query<Table>(tables))).filter(({ part }) => !part);
    expect(whole.length).toBeGreaterThanOrEqual(10);
    for (const table of whole) expect(table).toMatchObject({ enabled: true, forced: true, primaryKeys: 1 });
    expect(whole.filter(({ policies }) => policies === 0)).toEqual([]);
  });

  test('a part of a table is out of reach of the application, and has no policy that would show a row', async () => {
    const parts = (await read((tx) => tx.query<Table>(tables))).filter(({ part }) => part);
    // Both ends, this month and those made ahead.
    expect(parts.length).toBeGreaterThanOrEqual(5);
    for (const part of parts) {
      expect(part).toMatchObject({ enabled: true, policies: 0, primaryKeys: 1, reachable: false });
    }
  });

  test('every primary key and every unique index begins with the organisation', async () => {
    const indexes = await read((tx) => tx.query<{ table: string; name: string; first: string }>(uniqueIndexes));
    expect(indexes.length).toBeGreaterThanOrEqual(15);
    expect(indexes.filter(({ first }) => first !== 'organisation')).toEqual([]);
  });

  test('no foreign key could cross organisations: there are none', async () => {
    expect(await read((tx) => tx.query(`SELECT conname FROM pg_constraint WHERE contype = 'f'`))).toEqual([]);
  });

  test('no transaction can become one of two organisations', async () => {
    const inner = () => database.withOrganisation('south', (tx) => tx.query('SELECT 1'));
    await expect(database.withOrganisation('north', inner)).rejects.toThrow('A transaction inside a transaction');
    await expect(database.withOrganisation('north', () => database.organisations())).rejects.toThrow(
      'A transaction inside a transaction',
    );
  });
});
