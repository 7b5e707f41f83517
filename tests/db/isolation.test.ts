import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { sqlState } from '../../src/db/errors.js';
import { describeEachDatabase } from '../support/database.js';
import type { TestDatabase } from '../support/database.js';
import { insertEvent, insertOrganisation } from './rows.js';

describeEachDatabase('organisations are kept apart', (open) => {
  let database: TestDatabase;

  beforeAll(async () => {
    database = await open();
    for (const organisation of ['north', 'south']) {
      await database.withOrganisation(organisation, async (tx) => {
        await insertOrganisation(tx, organisation);
        await insertEvent(tx, { organisation, id: 'e-1' });
      });
    }
  });
  afterAll(() => database.drop());

  test('a query that forgets its organisation sees only its own rows', async () => {
    const rows = await database.withOrganisation('north', (tx) =>
      tx.query<{ organisation: string }>('SELECT organisation FROM event'),
    );
    expect(rows).toEqual([{ organisation: 'north' }]);
  });

  test('a query through Prisma sees only its own rows too', async () => {
    const events = await database.withOrganisation('south', (tx) => tx.prisma.event.findMany());
    expect(events.map((event) => event.organisation)).toEqual(['south']);
  });

  test('the organisation of one transaction does not reach into the next on the same connection', async () => {
    for (const organisation of ['north', 'south', 'north', 'nobody']) {
      const rows = await database.withOrganisation(organisation, (tx) =>
        tx.query<{ organisation: string }>('SELECT organisation FROM organisation'),
      );
      expect(rows.map((row) => row.organisation)).toEqual(organisation === 'nobody' ? [] : [organisation]);
    }
  });

  test('rows of another organisation cannot be written', async () => {
    const attempt = database.withOrganisation('north', (tx) => insertEvent(tx, { organisation: 'south', id: 'e-2' }));
    expect(sqlState(await attempt.catch((error: unknown) => error))).toBe('42501');
    const update = await database.withOrganisation('north', (tx) =>
      tx.execute(`UPDATE organisation SET name = 'taken' WHERE organisation = 'south'`),
    );
    expect(update).toBe(0);
  });

  test.each(['', 'no-such'])('for organisation %j there is nothing in any table', async (organisation) => {
    const counts = await database.withOrganisation(organisation, async (tx) => {
      const tables = await tx.query<{ name: string }>(
        `SELECT relname AS name FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind IN ('r', 'p')
           AND NOT relispartition AND relname <> '_prisma_migrations'`,
      );
      expect(tables.length).toBeGreaterThanOrEqual(9);
      const all = [];
      for (const { name } of tables) all.push(...(await tx.query<{ n: number }>(`SELECT count(*) AS n FROM ${name}`)));
      return all;
    });
    expect(counts.every(({ n }) => n === 0)).toBe(true);
  });

  test('all organisations are listed for the system alone', async () => {
    expect(await database.organisations()).toEqual(['north', 'south']);
    const rows = await database.withOrganisation('north', (tx) => tx.query('SELECT * FROM organisation'));
    expect(rows).toHaveLength(1);
  });

  test('the record of migrations is not for the application', async () => {
    const attempt = database.withOrganisation('north', (tx) => tx.query('SELECT * FROM _prisma_migrations'));
    expect(sqlState(await attempt.catch((error: unknown) => error))).toBe('42501');
  });

  test('the application runs as a role that can neither bypass nor switch off row-level security', async () => {
    const [role] = await database.withOrganisation('north', (tx) =>
      tx.query<{ name: string; above: boolean; owner: boolean }>(
        `SELECT rolname AS name, rolsuper OR rolbypassrls AS above,
                EXISTS (SELECT FROM pg_class c WHERE c.relowner = r.oid) AS owner
         FROM pg_roles r WHERE rolname = current_user`,
      ),
    );
    expect(role).toEqual({ name: 'stepwedge_app', above: false, owner: false });
  });

  test.each([
    `UPDATE event SET type = 'x'`,
    'DELETE FROM event',
    `UPDATE event_key SET hash = 'x'`,
    'DELETE FROM event_key',
    `UPDATE finding_change SET hash = 'x'`,
    'DELETE FROM finding_change',
    `UPDATE admin_change SET hash = 'x'`,
    'DELETE FROM admin_change',
    'DELETE FROM finding',
    'TRUNCATE event',
    'DROP TABLE event',
    'ALTER TABLE event DISABLE ROW LEVEL SECURITY',
    'DROP POLICY own_organisation ON event',
  ])('what is append-only stays so: %s', async (statement) => {
    const attempt = database.withOrganisation('north', (tx) => tx.execute(statement));
    expect(sqlState(await attempt.catch((error: unknown) => error))).toBe('42501');
  });
});
