import { mkdirSync, readdirSync, readFileSync, renameSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { transformSync } from '@swc/core';

const root = fileURLToPath(new URL('../../', import.meta.url));
const built = path.join(root, 'node_modules/.cache/stepwedge-sources');

/**
 * Arguments with which node runs a TypeScript file as it stands, in a process of its own: types are stripped by the same
 * compiler that the tests use, once for each source that has changed. The embedded database is compiled in haste: none of
 * these processes lives long enough for the better code to pay.
 */
export function nodeArguments(file: URL): string[] {
  build('src');
  build('tests');
  writeWhole(path.join(built, 'package.json'), '{ "type": "module" }');
  return ['--liftoff-only', target(path.relative(root, fileURLToPath(file)))];
}

function target(source: string): string {
  return path.join(built, source.replace(/\.ts$/, '.js'));
}

function build(folder: string): void {
  mkdirSync(path.join(built, folder), { recursive: true });
  for (const entry of readdirSync(path.join(root, folder), { withFileTypes: true })) {
    const source = path.join(folder, entry.name);
    if (entry.isDirectory()) build(source);
    else if (/\.(ts|mjs)$/.test(entry.name) && !/\.(test|d)\.ts$/.test(entry.name)) strip(source);
  }
}

function strip(source: string): void {
  const file = target(source);
  const { mtime } = statSync(path.join(root, source));
  if (statSync(file, { throwIfNoEntry: false })?.mtimeMs === mtime.getTime()) return;
  const text = readFileSync(path.join(root, source), 'utf8');
  const options = {
    filename: path.join(root, source),
    sourceMaps: 'inline' as const,
    jsc: { target: 'es2022' as const, parser: { syntax: 'typescript' as const } },
    module: { type: 'es6' as const },
  };
  writeWhole(file, source.endsWith('.ts') ? transformSync(text, options).code : text, mtime);
}

/** Whole or not at all: others may be reading. */
function writeWhole(file: string, text: string, mtime?: Date): void {
  const part = `${file}.${process.pid}`;
  writeFileSync(part, text);
  if (mtime !== undefined) utimesSync(part, mtime, mtime);
  renameSync(part, file);
}
