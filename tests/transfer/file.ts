import { PackBook } from '../../src/packs/book.js';
import { createLedger } from '../../src/ledger/context.js';
import type { Database } from '../../src/db/port.js';
import { shippedRules } from '../../src/installation.js';
import { loadPacks } from '../../src/packs/load.js';
import { type Exported, exportOrganisation } from '../../src/transfer/export.js';
import { importOrganisation, type ImportOptions, type Imported } from '../../src/transfer/import.js';
import { readLines } from '../../src/transfer/read.js';

export const { packs } = await loadPacks(shippedRules);
export const book = new PackBook(packs);
/** After everything that the tests tell. */
export const end = Date.parse('2026-04-13T08:00:00Z');

export interface File {
  readonly text: string;
  readonly told: Exported;
}

export async function fileOf(database: Database, organisation = 'main', now = end): Promise<File> {
  let text = '';
  const told = await exportOrganisation(database, organisation, { release: 'test', now }, (lines) => {
    text += lines;
    return Promise.resolve();
  });
  return { text, told };
}

export function importText(
  database: Database,
  text: string,
  options: ImportOptions = {},
  by = book,
  now = end,
): Promise<Imported> {
  // Checkpoints close enough for short ledgers to have some.
  const ledger = createLedger({ database, book: by, now: () => now, spacing: 20 });
  return importOrganisation(ledger, readLines(inChunks(text)), options);
}

/** Cut without regard to lines, as a file arrives. */
async function* inChunks(text: string): AsyncGenerator<Buffer> {
  const bytes = Buffer.from(text);
  for (let at = 0; at < bytes.length; at += 10_007) yield bytes.subarray(at, at + 10_007);
}

/** The lines of a file without what a move adds to the trail of administration, and without what is of one database only. */
export function content({ text }: Pick<File, 'text'>): unknown[] {
  return text
    .trimEnd()
    .split('\n')
    .map((line) => JSON.parse(line) as Record<string, unknown>)
    .filter(({ kind }) => kind !== 'header' && kind !== 'end' && kind !== 'admin')
    .map(({ sum: _, seq, ...line }) => (line['kind'] === 'rejected' ? line : { ...line, seq }));
}
