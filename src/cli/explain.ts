import { readConfig } from '../config.js';
import { openDatabase } from '../db/open.js';
import type { SiteState } from '../engine/state.js';
import { sayDate } from '../engine/words.js';
import { nearest } from '../events/nearest.js';
import { createLedger } from '../ledger/context.js';
import { listSites } from '../ledger/queries.js';
import { stateAt } from '../ledger/site-view.js';
import { PackBook } from '../packs/book.js';
import { mistaken } from '../packs/jurisdictions.js';
import { soundShelf } from '../rules.js';
import { bareState, explain, ExplainError } from '../trials/explain.js';
import { checkThere, chosen, explained } from './transfer.js';

export interface ExplainOptions {
  readonly at?: string;
  readonly organisation?: string;
  /** Given: a place without a database. */
  readonly jurisdictions?: string;
  readonly method?: string;
  readonly chemistry?: string;
  readonly product?: string;
  readonly zone?: string;
}

/** Tells the chain of a quantity, at a recorded site or at a place that the options describe. @returns the exit code. */
export async function explainQuantity(names: readonly string[], options: ExplainOptions): Promise<number> {
  return explained('', async () => {
    const at = instantOf(options.at);
    const config = readConfig(process.env);
    const shelf = await soundShelf(config.rulesDir === undefined ? [] : [config.rulesDir]);
    const book = new PackBook(shelf.packs);
    if (options.jurisdictions !== undefined) {
      const [quantity, ...more] = names;
      if (quantity === undefined || more.length > 0)
        throw new ExplainError(
          'With --jurisdictions no site is named: stepwedge packs explain QUANTITY --jurisdictions us,us-wa.',
        );
      const state = bareState(placeOf(options, book), at, book);
      print('A place', state, at, explain(state, at, book, quantity));
      return 0;
    }
    const [site, quantity, ...more] = names;
    if (site === undefined || quantity === undefined || more.length > 0)
      throw new ExplainError(
        'Name a site and a quantity (stepwedge packs explain SITE QUANTITY), or a quantity and --jurisdictions.',
      );
    checkThere(config);
    const database = await openDatabase(config);
    try {
      const organisation = await chosen(database, options.organisation);
      const view = await stateAt(createLedger({ database, book }), organisation, site, at);
      if (view === null || view.state.site === null) {
        const { items } = await listSites(database, organisation, undefined, { limit: 1000 });
        const ids = items.map(({ id }) => id);
        const near = ids.includes(site) ? undefined : nearest(site, ids);
        const when = ids.includes(site)
          ? `It was not set up yet on ${new Date(at).toISOString().slice(0, 10)}`
          : `There is no site ${site}`;
        throw new ExplainError(`${when}${near === undefined ? '.' : `; did you mean ${near}?`}`);
      }
      print(site, view.state, at, explain(view.state, at, view.book, quantity));
      return 0;
    } finally {
      await database.close();
    }
  });
}

function instantOf(text: string | undefined): number {
  if (text === undefined) return Date.now();
  const isDay = /^\d{4}-\d\d-\d\d$/.test(text);
  const at =
    isDay || /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/.test(text)
      ? Date.parse(isDay ? `${text}T12:00:00Z` : text)
      : NaN;
  if (Number.isNaN(at))
    throw new ExplainError(
      `--at takes a day, such as 2026-03-20 (its noon, UTC), or an instant, such as 2026-03-20T08:00-07:00; not ${text}.`,
    );
  return at;
}

function placeOf(
  { jurisdictions = '', method = 'manual', chemistry, product, zone = 'America/New_York' }: ExplainOptions,
  book: PackBook,
) {
  const listed = jurisdictions
    .split(',')
    .map((one) => one.trim())
    .filter((one) => one !== '');
  for (const one of listed) {
    const found = mistaken(one, book.jurisdictions);
    if (found !== undefined) throw new ExplainError(`${one} ${found.message}`);
  }
  return { jurisdictions: listed, method, chemistry, product, zone };
}

function print(who: string, { site }: SiteState, at: number, told: readonly (readonly string[])[]): void {
  const zone = site?.zone ?? 'UTC';
  const laws = site?.jurisdictions.join(', ') ?? '';
  process.stdout.write(
    `${who}, ${sayDate(at, zone)} by the clock of ${zone}; jurisdictions: ${laws === '' ? 'none' : laws}.\n`,
  );
  for (const [heading = '', ...sentences] of told)
    process.stdout.write(`\n${heading}\n${sentences.map((sentence) => `  ${sentence}\n`).join('')}`);
}
