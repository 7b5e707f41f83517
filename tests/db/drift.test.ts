import { Blob } from 'node:buffer';
import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { PGlite } from '@electric-sql/pglite';
import { bindMigrationAwareSqlAdapterFactory } from '@prisma/driver-adapter-utils';
import { expect, test } from '@jest/globals';
import { PrismaPGlite } from 'pglite-prisma-adapter';
import { migrationsFolder, readMigrations } from '../../src/db/migrations.js';
import { blankSnapshot } from '../support/database.js';
import { schemaEngine } from './schema-engine.js';

/** An adapter over a fresh PGlite in memory, as superuser: where the schema engine applies the migrations. */
function freshDatabases() {
  const open: PGlite[] = [];
  const connect = async () => {
    const database = await PGlite.create({
      loadDataDir: new Blob([(await blankSnapshot()) as Uint8Array<ArrayBuffer>]),
    });
    open.push(database);
    const adapter = await new PrismaPGlite(database).connect();
    // The adapter's own does not wait for the end of the script.
    return Object.assign(adapter, { executeScript: async (script: string) => void (await database.exec(script)) });
  };
  return {
    factory: { provider: 'postgres' as const, adapterName: 'drift', connect, connectToShadowDb: connect },
    close: () => Promise.all(open.map((database) => database.close())),
  };
}

async function differences(schema: string): Promise<string> {
  const databases = freshDatabases();
  try {
    const SchemaEngine = await schemaEngine();
    const adapter = bindMigrationAwareSqlAdapterFactory(databases.factory);
    const engine = await SchemaEngine.new({ datamodels: [['schema.prisma', schema]] }, () => undefined, adapter);
    const migrations = await readMigrations();
    const result = await engine.diff({
      from: {
        tag: 'migrations',
        baseDir: migrationsFolder(),
        lockfile: { path: 'migration_lock.toml', content: 'provider = "postgresql"' },
        shadowDbInitScript: '',
        migrationDirectories: migrations.map(({ name, sql }) => ({
          path: name,
          migrationFile: { path: 'migration.sql', content: { tag: 'ok', value: sql } },
        })),
      },
      to: { tag: 'schemaDatamodel', files: [{ path: 'schema.prisma', content: schema }] },
      script: true,
      exitCode: null,
      filters: { externalTables: [], externalEnums: [] },
    });
    return result.stdout?.trim() ?? '';
  } finally {
    await databases.close();
  }
}

const schemaFile = path.join(migrationsFolder(), '..', 'schema.prisma');

test('the Prisma schema says what the migrations make', async () => {
  expect(await differences(await readFile(schemaFile, 'utf8'))).toBe('-- This is an empty migration.');
});

/** That the comparison above would notice; it costs another making of the database. */
const thorough = process.env['STEPWEDGE_LONG'] === '1' ? test : test.skip;
thorough('a column that only the schema knows is a difference', async () => {
  const schema = await readFile(schemaFile, 'utf8');
  const drifted = schema.replace('patientKey   String', 'colour String\n  patientKey   String');
  expect(drifted).not.toBe(schema);
  expect(await differences(drifted)).toContain('ADD COLUMN     "colour" TEXT NOT NULL');
});
