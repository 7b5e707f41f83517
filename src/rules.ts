import { readFile, stat } from 'node:fs/promises';
import path from 'node:path';
import { shippedRules } from './installation.js';
import type { PackText } from './packs/candidates.js';
import type { Pack } from './packs/model.js';
import { loadPacks } from './packs/load.js';
import { checkPacks, type Diagnostic, formatDiagnostic, type PackRead, readPack } from './packs/reader/index.js';

/** One pack file as read; `pack` is absent when it has an error. */
export interface ShelvedPack {
  /** Relative to the working directory. */
  readonly file: string;
  readonly text: string;
  readonly pack?: Pack | undefined;
}

/** The packs as a process judges by them. */
export interface Shelf {
  readonly files: readonly ShelvedPack[];
  /** In order of id. */
  readonly packs: readonly Pack[];
  /** As the reader gave them, for what others may say of them. */
  readonly reads: readonly PackRead[];
  readonly faults: readonly (Diagnostic & { /** With the lines around it. */ readonly shown: string })[];
}

/** Packs cannot be read or are at fault; the message shows where. */
export class RulesError extends Error {
  override readonly name = 'RulesError';
}

/**
 * Reads the shipped packs and those of further files and folders; all of them may speak of each other.
 * @throws RulesError when one cannot be read at all.
 */
export async function readShelf(more: readonly string[] = []): Promise<Shelf> {
  const reads: PackRead[] = [];
  const texts = new Map<string, string>();
  for (const place of [shippedRules, ...more.filter((each) => !isShipped(each))]) {
    const found = await readPlace(place).catch((error: unknown) => unreadable(place, error));
    reads.push(...found.reads.filter(({ file }) => !texts.has(file)));
    for (const [file, text] of found.texts) texts.set(file, text);
  }
  const faults = [...reads.flatMap((read) => read.diagnostics), ...checkPacks(reads)];
  const wrong = new Set(faults.filter(({ severity }) => severity === 'error').map(({ file }) => file));
  const files = reads.map(({ file, pack }) => ({
    file,
    text: texts.get(file) ?? '',
    pack: wrong.has(file) ? undefined : pack,
  }));
  return {
    files,
    packs: files.flatMap(({ pack }) => pack ?? []).sort((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)),
    reads,
    faults: faults.map((fault) => ({ ...fault, shown: formatDiagnostic(fault, texts.get(fault.file)) })),
  };
}

/** As `readShelf`. @throws RulesError when any pack has an error: a server judges by all of its packs or does not start. */
export async function soundShelf(more: readonly string[]): Promise<Shelf> {
  const shelf = await readShelf(more);
  const errors = shelf.faults.filter(({ severity }) => severity === 'error').map(({ shown }) => shown);
  if (errors.length > 0) throw new RulesError(`Packs with faults are not judged by.\n\n${errors.join('\n\n')}`);
  return shelf;
}

/** Those of a shelf that lie at one of these places. */
export function filesAt(shelf: Shelf, places: readonly string[]): readonly ShelvedPack[] {
  return shelf.files.filter(({ file }) => places.some((place) => isWithin(path.resolve(file), path.resolve(place))));
}

/** The texts of pack files and of all in folders, by file. @throws RulesError when one cannot be read. */
export async function textsAt(places: readonly string[]): Promise<PackText[]> {
  const found = new Map<string, string>();
  for (const place of places)
    for (const [file, text] of (await readPlace(place).catch((error: unknown) => unreadable(place, error))).texts)
      found.set(file, text);
  return [...found].map(([file, text]) => ({ file, text }));
}

function unreadable(place: string, error: unknown): never {
  throw new RulesError(
    isMissing(error)
      ? `There is no file or folder ${place}.`
      : `${place} cannot be read as packs: ${error instanceof Error ? error.message : String(error)}`,
  );
}

async function readPlace(place: string): Promise<{ reads: readonly PackRead[]; texts: ReadonlyMap<string, string> }> {
  if ((await stat(place)).isDirectory()) return loadPacks(place);
  const text = await readFile(place, 'utf8');
  const file = path.relative(process.cwd(), place).split(path.sep).join('/');
  return { reads: [readPack(text, file)], texts: new Map([[file, text]]) };
}

function isMissing(error: unknown): boolean {
  return error instanceof Error && 'code' in error && error.code === 'ENOENT';
}

function isShipped(place: string): boolean {
  return isWithin(path.resolve(place), shippedRules);
}

function isWithin(place: string, folder: string): boolean {
  return place === folder || place.startsWith(folder + path.sep);
}
