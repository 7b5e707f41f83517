import { fileURLToPath } from 'node:url';

const hooks = new URL('typescript.mjs', import.meta.url).href;

/**
 * Arguments with which node runs a TypeScript file as it stands, in a process of its own. The embedded database is
 * compiled in haste: none of these processes lives long enough for the better code to pay.
 */
export function nodeArguments(file: URL): string[] {
  return ['--liftoff-only', '--import', hooks, fileURLToPath(file)];
}
