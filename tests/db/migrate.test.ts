import { describe, expect, test } from '@jest/globals';
import pg from 'pg';
import { Engine } from '../../src/db/embedded/engine.js';
import { DatabaseStartError } from '../../src/db/errors.js';
import { migrate } from '../../src/db/migrate.js';
import { readMigrations } from '../../src/db/migrations.js';
import type { Migration } from '../../src/db/migrations.js';
import { blankSnapshot, createTestDatabase, testDatabases } from '../support/database.js';

interface Blank {
  connect(): Promise<pg.Client>;
  drop(): Promise<void>;
}

async function openBlank(kind: string): Promise<Blank> {
  const clients: pg.Client[] = [];
  const track = async (client: pg.Client) => {
    clients.push(client);
    await client.connect();
    return client;
  };
  const end = () => Promise.all(clients.map((client) => client.end()));
  if (kind === 'postgresql') {
    const own = await createTestDatabase(process.env['TEST_DATABASE_URL'] ?? '');
    return {
      connect: () => track(new pg.Client({ connectionString: own.url })),
      drop: async () => {
        await end();
        await own.drop();
      },
    };
  }
  const engine = await Engine.start({ snapshot: await blankSnapshot() });
  return {
    connect: () => track(new pg.Client({ user: 'postgres', host: 'embedded', stream: () => engine.connect() })),
    drop: async () => {
      await end();
      await engine.close();
    },
  };
}

async function withBlank(kind: string, work: (client: pg.Client, blank: Blank) => Promise<void>): Promise<void> {
  const blank = await openBlank(kind);
  try {
    await work(await blank.connect(), blank);
  } finally {
    await blank.drop();
  }
}

const made = (name: string, sql: string): Migration => ({ name, sql, checksum: `checksum of ${sql}` });
const rejection = (attempt: Promise<unknown>) =>
  attempt.then(
    () => Promise.reject(new Error('It was not refused.')),
    (error: unknown) => error,
  );

describe.each(testDatabases())('migrations ($name)', ({ name: kind }) => {
  test('are applied once, in order of their names, and recorded as Prisma records them', () =>
    withBlank(kind, async (client) => {
      const migrations = await readMigrations();
      expect(await migrate(client, migrations)).toEqual(migrations.map(({ name }) => name));
      expect(await migrate(client, migrations)).toEqual([]);
      const { rows } = await client.query(
        `SELECT migration_name, checksum, finished_at >= started_at AS finished, rolled_back_at, logs, applied_steps_count
         FROM _prisma_migrations ORDER BY migration_name`,
      );
      expect(rows).toEqual(
        migrations.map(({ name, checksum }) => ({
          migration_name: name,
          checksum,
          finished: true,
          rolled_back_at: null,
          logs: null,
          applied_steps_count: 1,
        })),
      );
      expect(migrations[0]?.checksum).toMatch(/^[0-9a-f]{64}$/);
    }));

  test('a new one is applied beside the old; a changed, unknown or unfinished one stops the start', () =>
    withBlank(kind, async (client) => {
      const first = made('1_first', 'CREATE TABLE one (id int)');
      const second = made('2_second', 'CREATE TABLE two (id int)');
      expect(await migrate(client, [first])).toEqual(['1_first']);
      expect(await migrate(client, [first, second])).toEqual(['2_second']);

      const changed = await rejection(migrate(client, [made('1_first', 'CREATE TABLE one (id bigint)'), second]));
      expect(changed).toBeInstanceOf(DatabaseStartError);
      expect(String(changed)).toContain('The migration 1_first was changed after it had been applied');

      const unknown = await rejection(migrate(client, [first]));
      expect(String(unknown)).toContain('it has the migration 2_second, which this release does not know');

      await client.query(`UPDATE _prisma_migrations SET finished_at = NULL WHERE migration_name = '2_second'`);
      const unfinished = await rejection(migrate(client, [first, second]));
      expect(String(unfinished)).toContain('The migration 2_second was begun on this database and never finished');

      await client.query(`UPDATE _prisma_migrations SET rolled_back_at = now() WHERE migration_name = '2_second'`);
      await client.query('DROP TABLE two');
      expect(await migrate(client, [first, second])).toEqual(['2_second']);
    }));

  test('one that fails is undone as a whole, with its name and line in the error; the next attempt may succeed', () =>
    withBlank(kind, async (client) => {
      const wrong = made('1_first', 'CREATE TABLE one (id int);\n\nCREATE TABLE two (id no_such_type);');
      const error = await rejection(migrate(client, [wrong]));
      expect(error).toBeInstanceOf(DatabaseStartError);
      expect(String(error)).toContain('The migration 1_first failed at line 3: type "no_such_type" does not exist');
      const { rows } = await client.query(`SELECT to_regclass('one') AS one`);
      expect(rows).toEqual([{ one: null }]);
      expect(await migrate(client, [made('1_first', 'CREATE TABLE one (id int)')])).toEqual(['1_first']);
    }));
});

const server = testDatabases().filter(({ name }) => name === 'postgresql');

// A describe without tests is an error to jest, so nothing is declared where there is no server.
for (const { name } of server) {
  test(`processes that start together migrate once (${name})`, () =>
    withBlank(name, async (client, blank) => {
      const clients = [client, await blank.connect(), await blank.connect(), await blank.connect()];
      const migrations = await readMigrations();
      const applied = await Promise.all(clients.map((each) => migrate(each, migrations)));
      expect(applied.flat()).toEqual(migrations.map((migration) => migration.name));
    }));

  test(`several databases of one server are migrated at the same time, though the role is one (${name})`, async () => {
    const blanks = await Promise.all(Array.from({ length: 4 }, () => openBlank(name)));
    try {
      const migrations = await readMigrations();
      const applied = await Promise.all(blanks.map(async (blank) => migrate(await blank.connect(), migrations)));
      for (const names of applied) expect(names).toHaveLength(migrations.length);
    } finally {
      await Promise.all(blanks.map((blank) => blank.drop()));
    }
  });
}
