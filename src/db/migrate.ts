import { randomUUID } from 'node:crypto';
import type pg from 'pg';
import { DatabaseStartError } from './errors.js';
import type { Migration } from './migrations.js';
import { isMissingRight, roleHelp } from './role.js';

/** Two processes that start together: one migrates, the other waits. Any number nobody else uses. */
const lock = 7_283_940_115;

const table = `
CREATE TABLE IF NOT EXISTS _prisma_migrations (
  id                  VARCHAR(36) PRIMARY KEY NOT NULL,
  checksum            VARCHAR(64) NOT NULL,
  finished_at         TIMESTAMPTZ,
  migration_name      VARCHAR(255) NOT NULL,
  logs                TEXT,
  rolled_back_at      TIMESTAMPTZ,
  started_at          TIMESTAMPTZ NOT NULL DEFAULT now(),
  applied_steps_count INTEGER NOT NULL DEFAULT 0
)`;

interface Applied {
  migration_name: string;
  checksum: string;
  finished_at: Date | null;
}

/**
 * Brings the database up to `migrations`, each in its own transaction, recorded in the table and with the checksums of
 * Prisma's migration tool, which may therefore be used on the same database. `client` is a connection of its own with
 * the right to create tables. Answers the names newly applied.
 *
 * @throws DatabaseStartError when one fails (it is rolled back), was changed after it had been applied, was left half
 * done by another tool, or when the database was migrated by a newer release than this.
 */
export async function migrate(client: pg.ClientBase, migrations: readonly Migration[]): Promise<string[]> {
  await client.query('SELECT pg_advisory_lock($1)', [lock]);
  try {
    // Not "if not exists" alone: it would announce itself with a notice, and need a right, at each start.
    const { rows } = await client.query<{ there: boolean }>(
      `SELECT to_regclass('_prisma_migrations') IS NOT NULL AS there`,
    );
    if (!rows[0]?.there) await client.query(table);
    const pending = await findPending(client, migrations);
    for (const migration of pending) await apply(client, migration);
    return pending.map((migration) => migration.name);
  } finally {
    await client.query('SELECT pg_advisory_unlock($1)', [lock]).catch(() => undefined);
  }
}

async function findPending(client: pg.ClientBase, migrations: readonly Migration[]): Promise<Migration[]> {
  const { rows } = await client.query<Applied>(
    'SELECT migration_name, checksum, finished_at FROM _prisma_migrations WHERE rolled_back_at IS NULL ORDER BY migration_name',
  );
  const applied = new Map(rows.map((row) => [row.migration_name, row]));
  for (const row of rows) {
    if (row.finished_at === null) {
      throw new DatabaseStartError(
        `The migration ${row.migration_name} was begun on this database and never finished. Restore a backup, or finish it ` +
          'by hand and set finished_at in _prisma_migrations.',
      );
    }
    const known = migrations.find((migration) => migration.name === row.migration_name);
    if (!known) {
      throw new DatabaseStartError(
        `This database was migrated by another release, probably a newer one: it has the migration ${row.migration_name}, ` +
          'which this release does not know. Start that release, or restore a backup from before it.',
      );
    }
    if (known.checksum !== row.checksum) {
      throw new DatabaseStartError(
        `The migration ${row.migration_name} was changed after it had been applied to this database. Undo the change in ` +
          `prisma/migrations/${row.migration_name}/migration.sql and put what is new into a migration of its own.`,
      );
    }
  }
  return migrations.filter((migration) => !applied.has(migration.name));
}

async function apply(client: pg.ClientBase, migration: Migration): Promise<void> {
  try {
    await client.query('BEGIN');
    await client.query(migration.sql);
    await client.query(
      `INSERT INTO _prisma_migrations (id, checksum, finished_at, migration_name, started_at, applied_steps_count)
       VALUES ($1, $2, clock_timestamp(), $3, now(), 1)`,
      [randomUUID(), migration.checksum, migration.name],
    );
    await client.query('COMMIT');
  } catch (error) {
    await client.query('ROLLBACK').catch(() => undefined);
    const reason = error instanceof Error ? error.message : String(error);
    let help = '';
    if (isMissingRight(error)) {
      const user = await client.query<{ user: string }>('SELECT current_user AS "user"');
      help = ` The server needs the right to create tables. ${roleHelp(user.rows[0]?.user ?? '')}`;
    }
    throw new DatabaseStartError(
      `The migration ${migration.name} failed${place(error, migration.sql)}: ${reason}. Nothing of it was kept.${help}`,
      { cause: error },
    );
  }
}

/** Where in the file: PostgreSQL counts characters from the start of what was sent. */
function place(error: unknown, sql: string): string {
  const position = typeof error === 'object' && error !== null && 'position' in error ? Number(error.position) : NaN;
  return position > 0 ? ` at line ${sql.slice(0, position).split('\n').length}` : '';
}
