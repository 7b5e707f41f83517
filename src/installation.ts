import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

/** Where this package lies: found upwards from here, since this file runs from `src/` and from `dist/src/`. */
export const packageFolder = find();

/** The version in package.json. */
export const version = (
  JSON.parse(readFileSync(path.join(packageFolder, 'package.json'), 'utf8')) as { version: string }
).version;

/** The packs that are shipped. */
export const shippedRules = path.join(packageFolder, 'rules');

function find(): string {
  let folder = path.dirname(fileURLToPath(import.meta.url));
  for (;;) {
    if (existsSync(path.join(folder, 'rules')) && existsSync(path.join(folder, 'package.json'))) return folder;
    const parent = path.dirname(folder);
    if (parent === folder) throw new Error('The folder rules is missing from this installation.');
    folder = parent;
  }
}
