import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { readdir, readFile } from 'node:fs/promises';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

export interface Migration {
  /** The folder's name; its order is the order of migration. */
  readonly name: string;
  readonly sql: string;
  /** SHA-256 of the file, hexadecimal: what Prisma's own migration tool records. */
  readonly checksum: string;
}

/** `prisma/migrations` of this package, found upwards from here: this file runs from `src/` and from `dist/src/`. */
export function migrationsFolder(): string {
  let folder = path.dirname(fileURLToPath(import.meta.url));
  for (;;) {
    const candidate = path.join(folder, 'prisma', 'migrations');
    if (existsSync(candidate)) return candidate;
    const parent = path.dirname(folder);
    if (parent === folder) throw new Error('The folder prisma/migrations is missing from this installation.');
    folder = parent;
  }
}

export async function readMigrations(folder = migrationsFolder()): Promise<Migration[]> {
  const entries = await readdir(folder, { withFileTypes: true });
  const names = entries.filter((entry) => entry.isDirectory()).map((entry) => entry.name);
  names.sort();
  return Promise.all(
    names.map(async (name) => {
      const sql = await readFile(path.join(folder, name, 'migration.sql'), 'utf8');
      return { name, sql, checksum: createHash('sha256').update(sql).digest('hex') };
    }),
  );
}
