import { existsSync } from 'node:fs';
import { type FileHandle, open, rename, rm } from 'node:fs/promises';
import path from 'node:path';
import { type Config, readConfig } from '../config.js';
import { DatabaseStartError, StorageFullError } from '../db/errors.js';
import { openDatabase } from '../db/open.js';
import type { Database } from '../db/port.js';
import { nearest } from '../events/nearest.js';
import { version } from '../installation.js';
import { createLedger } from '../ledger/context.js';
import { OrganisationError } from '../ledger/organisations.js';
import { PackBook } from '../packs/book.js';
import { soundShelf } from '../rules.js';
import type { Counts } from '../transfer/account.js';
import { TransferError } from '../transfer/error.js';
import { ExplainError } from '../trials/explain.js';
import { exportOrganisation } from '../transfer/export.js';
import { type Imported, importOrganisation, type ImportOptions } from '../transfer/import.js';
import { readLines } from '../transfer/read.js';

const say = (line: string) => process.stdout.write(`${line}\n`);

/** Writes an organisation to a file. @returns the exit code. */
export async function exportToFile(file: string, asked: string | undefined): Promise<number> {
  return explained('Nothing was exported: ', async () => {
    const config = readConfig(process.env);
    if (existsSync(file)) throw new TransferError(`${file} is there already; nothing is written over.`);
    checkThere(config);
    const database = await openDatabase(config);
    try {
      const organisation = await chosen(database, asked);
      const began = Date.now();
      const options = { release: version, now: began };
      const { counts, sha256, unjudged } = await toFile(file, (write) =>
        exportOrganisation(database, organisation, options, write),
      );
      say(`${organisation} to ${file}: ${inWords(counts, began)}.\nSHA-256 ${sha256}`);
      if (unjudged > 0) say(`The latest events of ${unjudged} of its sites are not judged yet.`);
      say(
        'The file holds the secret by which patients are hashed: keep it as safe as the database. It holds no API keys.',
      );
      return 0;
    } finally {
      await database.close();
    }
  });
}

/** Makes an organisation out of a file. @returns the exit code. */
export async function importFromFile(file: string, options: ImportOptions): Promise<number> {
  return explained(`${file} was not imported, nothing of it was kept: `, async () => {
    const config = readConfig(process.env);
    const shelf = await soundShelf(config.rulesDir === undefined ? [] : [config.rulesDir]);
    // First, so that no database is made for a file that is not there.
    const source = await open(file).catch(unreadable);
    try {
      const database = await openDatabase(config);
      try {
        const ledger = createLedger({ database, book: new PackBook(shelf.packs) });
        const lines = readLines(chunksOf(source));
        const began = Date.now();
        tell(file, await importOrganisation(ledger, lines, options), began);
      } finally {
        await database.close();
      }
    } finally {
      await source.close();
    }
    return 0;
  });
}

async function* chunksOf(source: FileHandle): AsyncGenerator<Buffer> {
  const stream = source.createReadStream({ autoClose: false, highWaterMark: 256 * 1024 });
  try {
    for await (const chunk of stream) yield chunk as Buffer;
  } catch (error) {
    unreadable(error as Error);
  }
}

function unreadable(error: Error): never {
  throw new TransferError(`it cannot be read: ${error.message}`);
}

function tell(file: string, { organisation, counts, sha256, changed, unjudged, key }: Imported, began: number): void {
  say(`${file} as ${organisation}: ${inWords(counts, began)}.\nSHA-256 ${sha256}`);
  say(
    changed.findings === 0
      ? 'Every finding is what its events give.'
      : `${changed.findings} findings of ${changed.sites} sites were brought in line with this release and its packs.`,
  );
  if (unjudged.length > 0) say(`Not judged: ${unjudged.join(', ')}. A server tries again.`);
  say(`A key with all rights. It is shown this once; only its hash is kept:\n\n  ${key}`);
}

const foreseen = [TransferError, OrganisationError, StorageFullError, ExplainError];

/** What was foreseen is a sentence on stderr and exit code 1. */
export async function explained(begin: string, work: () => Promise<number>): Promise<number> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof Error && foreseen.some((Kind) => error instanceof Kind))) throw error;
    process.stderr.write(`${begin}${error.message.replace(/([^.?])$/, '$1.')}\n`);
    return 1;
  }
}

/** An export must not make the folder that it was to read. @throws DatabaseStartError */
/** An export must not make the folder that it was to read. */
export function checkThere({ databaseUrl, dataDir }: Config): void {
  if (databaseUrl !== undefined || existsSync(path.join(dataDir, 'database'))) return;
  throw new DatabaseStartError(
    `There is no database in ${path.resolve(dataDir)}. Set STEPWEDGE_DATA_DIR or DATABASE_URL to where the data is.`,
  );
}

/** The organisation that is meant: the one there is, or the one asked for. @throws TransferError */
export async function chosen(database: Database, asked: string | undefined): Promise<string> {
  const all = await database.organisations();
  const names = all.length > 20 ? `${all.slice(0, 20).join(', ')} ...` : all.join(', ');
  if (asked !== undefined && !all.includes(asked)) {
    const meant = nearest(asked, all);
    throw new TransferError(
      `there is no organisation ${asked} in this database${meant === undefined ? '' : `; did you mean ${meant}?`}`,
    );
  }
  const only = asked ?? all[0];
  if (only === undefined) throw new TransferError('there is no organisation in this database');
  if (asked === undefined && all.length > 1)
    throw new TransferError(`say which with --organisation, this database has ${all.length}: ${names}`);
  return only;
}

/** Under its own name only when it is whole and on the disk; for nobody else to read. */
async function toFile<T>(file: string, work: (write: (text: string) => Promise<void>) => Promise<T>): Promise<T> {
  const part = `${file}.part`;
  await rm(part, { force: true });
  const unwritable = (error: Error): never => {
    throw new TransferError(`${file} cannot be written: ${error.message}`);
  };
  const handle = await open(part, 'wx', 0o600).catch(unwritable);
  try {
    const result = await work((text) => handle.writeFile(text).catch(unwritable));
    await handle.sync();
    await handle.close();
    await rename(part, file);
    return result;
  } catch (error) {
    await handle.close().catch(() => undefined);
    await rm(part, { force: true });
    throw error;
  }
}

const words = {
  event: 'events',
  site: 'sites',
  finding: 'findings',
  change: 'changes of findings',
  rejected: 'refused events',
} as const;

function inWords(counts: Readonly<Counts>, began: number): string {
  const seconds = Math.max(Date.now() - began, 1) / 1000;
  const each = Object.entries(words).map(
    ([kind, word]) => `${counts[kind as keyof typeof words].toLocaleString('en')} ${word}`,
  );
  const rate = Math.round(counts.event / seconds).toLocaleString('en');
  return `${each.join(', ')}, in ${seconds.toFixed(1)} s (${rate} events/s)`;
}
