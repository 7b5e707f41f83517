import { readConfig } from '../config.js';
import { readMigrations } from '../db/migrations.js';
import { openDatabase } from '../db/open.js';

/** Opening a database migrates it. */
export async function migrate(): Promise<void> {
  const database = await openDatabase(readConfig(process.env));
  const migrations = await readMigrations();
  await database.close();
  process.stdout.write(`The database is up to date: ${migrations.at(-1)?.name ?? 'there are no migrations'}.\n`);
}
