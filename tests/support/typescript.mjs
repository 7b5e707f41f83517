/**
 * Lets a child process run the sources as they stand: `node --import <this file> something.ts`. Types are stripped by
 * the same compiler that the tests use, and an import of `./x.js` finds `./x.ts`.
 */
import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { register } from 'node:module';
import { fileURLToPath } from 'node:url';
import { isMainThread } from 'node:worker_threads';
import { transform } from '@swc/core';

if (isMainThread) register(import.meta.url);

/** @type {import('node:module').ResolveHook} */
export function resolve(specifier, context, next) {
  if (specifier.startsWith('.') && specifier.endsWith('.js') && context.parentURL) {
    const source = new URL(specifier.replace(/\.js$/, '.ts'), context.parentURL);
    if (existsSync(source)) return next(source.href, context);
  }
  return next(specifier, context);
}

/** @type {import('node:module').LoadHook} */
export async function load(url, context, next) {
  if (!url.startsWith('file:') || !url.endsWith('.ts')) return next(url, context);
  const file = fileURLToPath(url);
  const { code } = await transform(await readFile(file, 'utf8'), {
    filename: file,
    sourceMaps: 'inline',
    jsc: { target: 'es2022', parser: { syntax: 'typescript' } },
    module: { type: 'es6' },
  });
  return { format: 'module', source: code, shortCircuit: true };
}
