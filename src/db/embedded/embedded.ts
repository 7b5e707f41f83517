import { existsSync } from 'node:fs';
import { readFile, rm, statfs, writeFile } from 'node:fs/promises';
import path from 'node:path';
import pg from 'pg';
import { DatabaseStartError, StorageFullError } from '../errors.js';
import { migrate } from '../migrate.js';
import { readMigrations } from '../migrations.js';
import { PooledDatabase } from '../pooled.js';
import type { Database } from '../port.js';
import { becomeApplication } from '../role.js';
import { rowTypes } from '../values.js';
import { Engine } from './engine.js';
import type { EngineSetup } from './engine.js';
import { lockFolder } from './lock.js';

const durability = {
  folder:
    'A committed transaction survives the death of the process. The embedded database runs with fsync off: a loss of ' +
    'power or a crash of the operating system can cost the last seconds, and at worst the database; keep backups, or use PostgreSQL.',
  memory: 'Nothing survives the end of the process: the database is in memory.',
};

/**
 * The embedded database over a folder, migrated and ready. One process at a time: the folder is locked.
 *
 * PGlite starts PostgreSQL with fsync off, and its file system layer would not pass an fsync on; what that means is said
 * in `durability`. It has a single session, so transactions run one after another.
 *
 * @throws DatabaseStartError
 */
export async function openEmbedded(folder: string, options: { readonly wait?: number } = {}): Promise<Database> {
  const absolute = path.resolve(folder);
  let engine: Engine | undefined;
  const release = await lockFolder(absolute, (reason) => engine?.fail(reason));
  try {
    engine = await startIn(absolute);
    await migrateEngine(engine);
    return over(engine, durability.folder, { wait: options.wait, release, checkRoom: () => checkRoom(absolute) });
  } catch (error) {
    await engine?.close();
    await release();
    throw error;
  }
}

/** In memory, for tests and trials; from a snapshot of a migrated one it starts in a fraction of a second. */
export async function openInMemory(snapshot?: Uint8Array): Promise<Database> {
  const engine = await start({ snapshot });
  if (!snapshot) await migrateEngine(engine);
  // Nobody waits at the other end of a trial: patience with a slow machine.
  return over(engine, durability.memory, { wait: 60_000 });
}

/** A migrated, empty database for `openInMemory`. */
export async function makeSnapshot(): Promise<Uint8Array> {
  const engine = await start({});
  try {
    await migrateEngine(engine);
    return await engine.dump();
  } finally {
    await engine.close();
  }
}

/**
 * The files of a new database take seconds to make. A process that dies meanwhile leaves half of them, which nobody could
 * open again; so a mark stands beside them until they are whole, and nothing was accepted before that.
 */
async function startIn(folder: string): Promise<Engine> {
  const dataDir = path.join(folder, 'database');
  const mark = path.join(folder, 'database-unfinished');
  const isNew = existsSync(mark) || !existsSync(dataDir);
  if (!isNew) return start({ dataDir });
  await writeFile(
    mark,
    'The database beside this file is being made; without the server running, both may be removed.\n',
  );
  await rm(dataDir, { recursive: true, force: true });
  const engine = await start({ dataDir });
  await rm(mark);
  return engine;
}

async function start(setup: EngineSetup): Promise<Engine> {
  try {
    return await Engine.start(setup);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    const version =
      setup.dataDir && (await readFile(path.join(setup.dataDir, 'PG_VERSION'), 'utf8').catch(() => undefined));
    throw new DatabaseStartError(
      `The embedded database in ${setup.dataDir ?? 'memory'} could not be started: ${reason}.` +
        (version ? ` Its files were written by PostgreSQL ${version.trim()}; they may belong to another release.` : ''),
      { cause: error },
    );
  }
}

async function migrateEngine(engine: Engine): Promise<void> {
  const migrations = await readMigrations();
  const client = new pg.Client(connectionConfig(engine));
  client.on('error', () => undefined);
  await client.connect();
  try {
    await migrate(client, migrations);
  } finally {
    await client.end();
  }
}

/**
 * Without room for its log the embedded database does not fail one transaction but stops altogether (seen), so what
 * would make it grow is refused while there is still room for a few segments of the log, 16 MiB each.
 */
const reserve = 64 * 1024 * 1024;

async function checkRoom(folder: string): Promise<void> {
  const { bavail, bsize } = await statfs(folder);
  if (bavail * bsize >= reserve) return;
  throw new StorageFullError(`Less than ${reserve / 1024 / 1024} MiB are free on the disk of ${folder}.`);
}

interface Over {
  /** ms that a transaction waits for its turn. */
  readonly wait?: number;
  readonly release?: () => Promise<void>;
  readonly checkRoom?: () => Promise<void>;
}

function over(engine: Engine, says: string, { wait = 15_000, release, checkRoom }: Over = {}): Database {
  const pool = new pg.Pool({
    ...connectionConfig(engine),
    max: 1,
    types: rowTypes,
    // All transactions queue for the one session.
    connectionTimeoutMillis: wait,
    idleTimeoutMillis: 0,
    onConnect: beginSession,
  });
  return new PooledDatabase({
    kind: 'embedded',
    durability: says,
    pool,
    checkRoom,
    onClose: async () => {
      await engine.close();
      await release?.();
    },
  });
}

/** The session outlives a broken conversation: a transaction, settings and prepared statements may be left from it. */
async function beginSession(client: pg.ClientBase): Promise<void> {
  await client.query('ROLLBACK');
  await client.query('DISCARD ALL');
  await becomeApplication(client);
}

function connectionConfig(engine: Engine): pg.ClientConfig {
  return {
    // All given, so that none is looked for in the environment.
    user: 'postgres',
    password: '',
    host: 'embedded',
    port: 5432,
    database: 'postgres',
    ssl: false,
    options: '',
    stream: () => engine.connect(),
  };
}
