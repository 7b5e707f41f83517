import { readdir, readFile, stat } from 'node:fs/promises';
import path from 'node:path';
import type { Pack } from './model.js';
import { checkPacks, packCaps, readPack } from './reader/index.js';
import type { Diagnostic, PackRead } from './reader/index.js';

/** Folders of a rules folder that hold other things than packs: tables of mounts. */
const notPacks = ['mounts'];

export interface LoadedPacks {
  /** The packs without fault, in order of their files. */
  readonly packs: readonly Pack[];
  readonly diagnostics: readonly Diagnostic[];
  readonly reads: readonly PackRead[];
  /** The texts by file name, for showing the lines around a fault. */
  readonly texts: ReadonlyMap<string, string>;
}

/**
 * Read every *.yaml and *.yml below a folder, in order of their paths. File names in faults are relative to
 * the working directory.
 *
 * @throws when the folder cannot be read
 */
export async function loadPacks(folder: string): Promise<LoadedPacks> {
  const texts = new Map<string, string>();
  const reads: PackRead[] = [];
  for (const file of await packFiles(folder)) {
    const shown = path.relative(process.cwd(), file).split(path.sep).join('/');
    // A file over the cap is not taken into memory; one byte too many is enough for the reader to say so.
    const { size } = await stat(file);
    const text = size > packCaps.bytes ? ' '.repeat(packCaps.bytes + 1) : await readFile(file, 'utf8');
    texts.set(shown, text);
    reads.push(readPack(text, shown));
  }
  const diagnostics = [...reads.flatMap((read) => read.diagnostics), ...checkPacks(reads)].sort(
    (a, b) => (a.file < b.file ? -1 : a.file > b.file ? 1 : 0) || a.line - b.line || a.column - b.column,
  );
  const faulty = new Set(diagnostics.filter((each) => each.severity === 'error').map((each) => each.file));
  const packs = reads.flatMap((read) => (read.pack === undefined || faulty.has(read.file) ? [] : [read.pack]));
  return { packs, diagnostics, reads, texts };
}

async function packFiles(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true });
  return entries
    .filter((entry) => entry.isFile() && /\.ya?ml$/.test(entry.name))
    .map((entry) => path.join(entry.parentPath, entry.name))
    .filter((file) => !notPacks.includes(path.relative(folder, file).split(path.sep)[0] ?? ''))
    .sort();
}
