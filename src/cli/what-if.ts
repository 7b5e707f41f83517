import { whatIfView } from '../api/resources/what-if.js';
import { readConfig } from '../config.js';
import { DatabaseStartError } from '../db/errors.js';
import { openDatabase } from '../db/open.js';
import type { Database } from '../db/port.js';
import { createLedger } from '../ledger/context.js';
import { TrialError, whatIf } from '../ledger/what-if.js';
import { presentPacks } from '../pack-service.js';
import { PackBook } from '../packs/book.js';
import { candidates, type PackText } from '../packs/candidates.js';
import { RulesError, type Shelf, soundShelf, textsAt } from '../rules.js';
import { TransferError } from '../transfer/error.js';
import { mostCardsAWeek, tried } from '../trials/what-if/index.js';
import { checkThere, chosen } from './transfer.js';
import { inWords } from './what-if-words.js';

export interface WhatIfOptions {
  readonly site?: string[];
  /** ms. */
  readonly from?: number;
  readonly to?: number;
  readonly organisation?: string;
  readonly json?: boolean;
  /** A file, a folder or the id of a shipped pack: what is compared with, instead of the packs as they are. */
  readonly against?: string;
}

/** What would have been found with these packs. @returns the exit code: 2 when they ask for more attention than there is. */
export async function tryPackFiles(places: readonly string[], options: WhatIfOptions): Promise<number> {
  const config = readConfig(process.env);
  const shelf = await soundShelf(config.rulesDir === undefined ? [] : [config.rulesDir]);
  const texts = await textsOf(places, shelf);
  const before = options.against === undefined ? [] : await textsOf([options.against], shelf);
  checkThere(config);
  const database = await openDatabase(config).catch(besideServer);
  try {
    const organisation = await chosen(database, options.organisation);
    const ledger = createLedger({ database, book: new PackBook(shelf.packs) });
    const { editions, reads } = await presentPacks({ shelf, ledger })(organisation);
    const [old, { packs, diagnostics, sound }] = [candidates(before, reads), candidates(texts, reads)];
    for (const { shown } of [...old.diagnostics, ...diagnostics]) process.stderr.write(`${shown}\n\n`);
    if (!sound || !old.sound) {
      process.stderr.write('Packs with faults are not tried.\n');
      return 1;
    }
    const to = options.to ?? Date.now();
    const answer = await whatIf(database, organisation, {
      ...{ present: tried(editions, old.packs), packs, sites: options.site, from: options.from, to },
      progress: process.stderr.isTTY ? progress() : undefined,
    });
    const view = whatIfView(answer, options.from, to);
    process.stdout.write(options.json === true ? `${JSON.stringify(view, null, 2)}\n` : inWords(view, mostCardsAWeek));
    return answer.attention.overBudget ? 2 : 0;
  } catch (error) {
    if (!(error instanceof TrialError) && !(error instanceof TransferError)) throw error;
    process.stderr.write(`Nothing was tried: ${error.message.replace(/([^.?])$/, '$1.')}\n`);
    return 1;
  } finally {
    await database.close();
  }
}

/** Of files, folders and shipped packs by id. @throws RulesError */
async function textsOf(places: readonly string[], { files }: Shelf): Promise<readonly PackText[]> {
  const shipped = (place: string) => files.filter(({ pack }) => pack?.id === place);
  const found = await Promise.all(
    places.map((place) => (shipped(place).length > 0 ? shipped(place) : textsAt([place]))),
  );
  if (found.flat().length === 0) throw new RulesError(`There is no pack in ${places.join(', ')}.`);
  return found.flat().map(({ file, text }) => ({ file, text }));
}

/** The embedded database is for one process; a server that holds it can be asked. */
function besideServer(error: unknown): Promise<Database> {
  if (!(error instanceof DatabaseStartError) || !/in use/.test(error.message)) throw error;
  throw new DatabaseStartError(
    `${error.message} If a server of yours holds it, ask that one: POST /v1/what-if does the same.`,
    { cause: error },
  );
}

function progress(): (events: number) => void {
  let told = 0;
  return (events) => {
    if (events - told < 50_000) return;
    told = events;
    process.stderr.write(`\r${events.toLocaleString('en')} events`);
  };
}
