import type { SiteState } from '../engine/state.js';
import type { PackBook } from '../packs/book.js';
import type { Ledger } from './context.js';
import { fetchHeads, type SiteHead } from './heads.js';
import type { Reading } from './read.js';
import { entryOf, replay, type Replayed } from './replay.js';

/** How often a ledger that changes while it is read is read again before its writers are kept out. */
const free = 3;

export interface SiteView {
  /** A copy of the caller's own, advanced to the instant. */
  readonly state: SiteState;
  readonly book: PackBook;
}

/**
 * A site as of an instant (ms): every event up to and including it folded, and what fell due by then opened. Events
 * retracted later are left out, as they are of every fold. Reads only.
 * @returns null when there is no such site.
 * @throws what the fold throws, when the site cannot be judged.
 */
export async function stateAt(
  ledger: Ledger,
  organisation: string,
  site: string,
  at: number,
): Promise<SiteView | null> {
  const { book, fold, cache } = ledger;
  await cache.settled(organisation, site);
  // Copied before anything is awaited: a writer may take the entry in the next moment.
  const cached = cache.peek(organisation, site);
  const copy = cached !== undefined && at >= cached.state.at ? fold.cloneState(cached.state) : undefined;
  const version = cached?.version;
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  const head = await reading(async (tx) => (await fetchHeads(tx, organisation, [site], 'none')).get(site));
  if (head === undefined) return null;
  if (copy !== undefined && version === head.version) {
    fold.advance(copy, at, book);
    return { state: copy, book };
  }
  const early = head.last_at !== null && at < head.last_at;
  const { state } = await readWhole(ledger, organisation, head, early ? at : undefined);
  fold.advance(state, at, book);
  return { state, book };
}

/** Fold a ledger as of one version of it. What is current is offered to the cache. */
async function readWhole(
  ledger: Ledger,
  organisation: string,
  first: SiteHead,
  until: number | undefined,
): Promise<Replayed> {
  const { site } = first;
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  let head = first;
  for (let attempt = 1; attempt <= free; attempt++) {
    ledger.counters.replays += 1;
    const replayed = await replay(reading, ledger, organisation, site, { until });
    const after = await reading(async (tx) => (await fetchHeads(tx, organisation, [site], 'none')).get(site));
    if (after?.version === head.version) return keep(ledger, organisation, head, replayed, until);
    head = after ?? head;
  }
  return reading(async (tx) => {
    const locked = (await fetchHeads(tx, organisation, [site], 'share')).get(site) ?? head;
    ledger.counters.replays += 1;
    const replayed = await replay((work) => work(tx), ledger, organisation, site, { until });
    return keep(ledger, organisation, locked, replayed, until);
  });
}

/** The cache gets a copy of its own. */
function keep(
  ledger: Ledger,
  organisation: string,
  head: SiteHead,
  replayed: Replayed,
  until: number | undefined,
): Replayed {
  if (until !== undefined || head.unjudged !== null) return replayed;
  const state = ledger.fold.cloneState(replayed.state);
  ledger.cache.offer(organisation, head.site, { ...entryOf(head, replayed), state });
  return replayed;
}

/** Bring a site's state into the cache, outside any lock. */
export async function warm(ledger: Ledger, organisation: string, site: string): Promise<void> {
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  const head = await reading(async (tx) => (await fetchHeads(tx, organisation, [site], 'none')).get(site));
  if (head === undefined || ledger.cache.peek(organisation, site)?.version === head.version) return;
  await readWhole(ledger, organisation, head, undefined);
}
