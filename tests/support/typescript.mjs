/**
 * Lets a child process run the sources as they stand: `node --import <this file> something.ts`. Types are stripped by
 * the same compiler that the tests use, and an import of `./x.js` finds `./x.ts`. What a source became is kept, by its
 * content: a server is started dozens of times in a run.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync } from 'node:fs';
import { readFile, rename, writeFile } from 'node:fs/promises';
import { createRequire, register } from 'node:module';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { isMainThread } from 'node:worker_threads';

if (isMainThread) register(import.meta.url);

/** @type {import('node:module').ResolveHook} */
export function resolve(specifier, context, next) {
  if (specifier.startsWith('.') && specifier.endsWith('.js') && context.parentURL) {
    const source = new URL(specifier.replace(/\.js$/, '.ts'), context.parentURL);
    if (existsSync(source)) return next(source.href, context);
  }
  return next(specifier, context);
}

const options = {
  sourceMaps: 'inline',
  jsc: { target: 'es2022', parser: { syntax: 'typescript' } },
  module: { type: 'es6' },
};
const require = createRequire(import.meta.url);
const kept = fileURLToPath(new URL('../../node_modules/.cache/stepwedge-sources', import.meta.url));
const compiler = JSON.stringify([require('@swc/core/package.json').version, options]);
mkdirSync(kept, { recursive: true });

/** @type {import('node:module').LoadHook} */
export async function load(url, context, next) {
  if (!url.startsWith('file:') || !url.endsWith('.ts')) return next(url, context);
  const filename = fileURLToPath(url);
  const text = await readFile(filename, 'utf8');
  const file = path.join(kept, createHash('sha256').update(`${compiler}\n${filename}\n${text}`).digest('hex'));
  const source = await readFile(file, 'utf8').catch(() => compile(text, filename, file));
  return { format: 'module', source, shortCircuit: true };
}

/**
 * @param {string} text
 * @param {string} filename
 * @param {string} file where the answer is kept
 */
async function compile(text, filename, file) {
  // Loaded when needed, which it seldom is.
  const { code } = await require('@swc/core').transform(text, { filename, ...options });
  const part = `${file}.${process.pid}`;
  await writeFile(part, code);
  // Whole or not at all: others may be reading.
  await rename(part, file);
  return code;
}
