import { readdir, readFile } from 'node:fs/promises';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from '@jest/globals';

const src = fileURLToPath(new URL('../../src', import.meta.url));

async function sources(): Promise<Map<string, string>> {
  const files = new Map<string, string>();
  for (const entry of await readdir(src, { withFileTypes: true, recursive: true })) {
    const file = path.relative(src, path.join(entry.parentPath, entry.name));
    if (entry.isFile() && file.endsWith('.ts') && !file.startsWith('db/generated')) {
      files.set(file, await readFile(path.join(src, file), 'utf8'));
    }
  }
  return files;
}

/**
 * The organisation of a transaction is set in one place, once, as it begins; the port hands out no way to set it again.
 * So a transaction has one organisation, whatever the code above does.
 */
test('only the beginning of a transaction says which organisation it is for', async () => {
  const files = await sources();
  expect(files.size).toBeGreaterThan(100);
  const sets = /\bset_config\s*\(|\bSET\s+(LOCAL|SESSION)\b|\bset\s+(local|session)\s+\S+\s*(=|to)/;
  const setters = [...files].filter(([, text]) => sets.test(text)).map(([file]) => file);
  expect(setters).toEqual(['db/connection.ts']);
  expect(files.get('db/connection.ts')?.match(/SET LOCAL/g)).toHaveLength(1);
});
