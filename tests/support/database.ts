import { createHash, randomBytes } from 'node:crypto';
import { readFile, rename, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import os from 'node:os';
import path from 'node:path';
import { describe } from '@jest/globals';
import pg from 'pg';
import { makeSnapshot, openInMemory } from '../../src/db/embedded/embedded.js';
import { Engine } from '../../src/db/embedded/engine.js';
import { readMigrations } from '../../src/db/migrations.js';
import type { Database } from '../../src/db/port.js';
import { openPostgresql } from '../../src/db/postgresql.js';

/** A migrated, empty database of a test's own. */
export interface TestDatabase extends Database {
  /** Closes it and removes what it stored. */
  drop(): Promise<void>;
}

export interface TestDatabaseKind {
  readonly name: 'embedded' | 'postgresql';
  open(): Promise<TestDatabase>;
}

/** The embedded database, and PostgreSQL too when TEST_DATABASE_URL names a server where databases may be created. */
export function testDatabases(): TestDatabaseKind[] {
  const kinds: TestDatabaseKind[] = [{ name: 'embedded', open: openTestEmbedded }];
  const url = process.env['TEST_DATABASE_URL'];
  if (url) kinds.push({ name: 'postgresql', open: () => openTestPostgresql(url) });
  return kinds;
}

/** The same tests once for each kind of database. */
export function describeEachDatabase(name: string, tests: (open: TestDatabaseKind['open']) => void): void {
  for (const kind of testDatabases()) describe(`${name} (${kind.name})`, () => tests(() => kind.open()));
}

async function openTestEmbedded(): Promise<TestDatabase> {
  const database = await openInMemory(await migratedSnapshot());
  return withDrop(database, () => Promise.resolve());
}

/** A database with all migrations applied, for `openInMemory`. */
export async function migratedSnapshot(): Promise<Uint8Array> {
  return madeOnce(
    (await readMigrations()).map(({ name, checksum }) => name + checksum),
    makeSnapshot,
  );
}

/** A database with nothing in it, as PGlite makes it in seconds. */
export function blankSnapshot(): Promise<Uint8Array> {
  return madeOnce([], async () => {
    const engine = await Engine.start({});
    try {
      return await engine.dump();
    } finally {
      await engine.close();
    }
  });
}

/** Made once for this PGlite and what went into it, shared by all test processes of the machine. */
async function madeOnce(of: readonly string[], make: () => Promise<Uint8Array>): Promise<Uint8Array> {
  const key = createHash('sha256').update(pgliteVersion()).update(of.join('\n'));
  const file = path.join(os.tmpdir(), `stepwedge-snapshot-${key.digest('hex').slice(0, 16)}.tar`);
  try {
    return await readFile(file);
  } catch {
    const snapshot = await make();
    const part = `${file}.${process.pid}.${randomBytes(4).toString('hex')}`;
    await writeFile(part, snapshot);
    // Whole or not at all: others may be reading.
    await rename(part, file);
    return snapshot;
  }
}

function pgliteVersion(): string {
  const entry = createRequire(import.meta.url).resolve('@electric-sql/pglite');
  const manifest: unknown = createRequire(entry)(path.join(path.dirname(entry), '..', 'package.json'));
  return JSON.stringify(manifest);
}

async function openTestPostgresql(url: string): Promise<TestDatabase> {
  const own = await createTestDatabase(url);
  try {
    return withDrop(await openPostgresql(own.url, { poolSize: 5 }), own.drop);
  } catch (error) {
    await own.drop();
    throw error;
  }
}

/** An empty database on the server, not migrated. */
export async function createTestDatabase(url: string): Promise<{ url: string; drop: () => Promise<void> }> {
  const name = `stepwedge_test_${process.pid}_${randomBytes(4).toString('hex')}`;
  await administer(url, `CREATE DATABASE ${name}`);
  const address = new URL(url);
  address.pathname = `/${name}`;
  return { url: address.href, drop: () => administer(url, `DROP DATABASE IF EXISTS ${name} WITH (FORCE)`) };
}

async function administer(url: string, statement: string): Promise<void> {
  for (let attempt = 1; ; attempt++) {
    const client = new pg.Client({ connectionString: url });
    await client.connect();
    try {
      await client.query(statement);
      return;
    } catch (error) {
      // "source database is being accessed by other users": another process copies the template in this moment.
      if (attempt >= 20 || !(error instanceof pg.DatabaseError && error.code === '55006')) throw error;
      await new Promise((resolve) => setTimeout(resolve, 50 + Math.random() * 100));
    } finally {
      await client.end();
    }
  }
}

function withDrop(database: Database, remove: () => Promise<void>): TestDatabase {
  return Object.assign(database, {
    drop: async () => {
      await database.close();
      await remove();
    },
  });
}
