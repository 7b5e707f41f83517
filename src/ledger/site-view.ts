import type { Transaction } from '../db/port.js';
import type { SiteState } from '../engine/state.js';
import type { PackBook } from '../packs/book.js';
import type { Ledger } from './context.js';
import { fetchHeads, type SiteHead } from './heads.js';
import { judgedBy } from './judged-by.js';
import { type Judging, judging } from './judging.js';
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
  const { fold, cache } = ledger;
  await cache.settled(organisation, site);
  // Copied before anything is awaited: a writer may take the entry in the next moment.
  const cached = cache.peek(organisation, site);
  const copy = cached !== undefined && at >= cached.state.at ? fold.cloneState(cached.state) : undefined;
  const version = cached?.version;
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  const found = await reading((tx) => headOf(tx, ledger, organisation, site));
  if (found === undefined) return null;
  const { head, own } = found;
  if (copy !== undefined && version === head.version && head.packs_hash === judgedBy(own)) {
    fold.advance(copy, at, own.book);
    return { state: copy, book: own.book };
  }
  const early = head.last_at !== null && at < head.last_at;
  const { state, book } = await readWhole(ledger, organisation, found, early ? at : undefined);
  fold.advance(state, at, book);
  return { state, book };
}

interface Found {
  readonly head: SiteHead;
  readonly own: Judging;
}

/** A head as it stands, and what its site is judged by. */
async function headOf(tx: Transaction, ledger: Ledger, organisation: string, site: string): Promise<Found | undefined> {
  const head = (await fetchHeads(tx, organisation, [site], 'none')).get(site);
  return head && { head, own: await judging(ledger, tx, organisation, head.publications) };
}

/** Fold a ledger as of one version of it, by one book. What is current is offered to the cache. */
async function readWhole(
  ledger: Ledger,
  organisation: string,
  first: Found,
  until: number | undefined,
): Promise<SiteView> {
  const { site } = first.head;
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  let found = first;
  for (let attempt = 1; attempt <= free; attempt++) {
    ledger.counters.replays += 1;
    const replayed = await replay(reading, found.own, organisation, site, { until });
    const after = await reading((tx) => headOf(tx, ledger, organisation, site));
    if (after?.head.version === found.head.version) return keep(organisation, found, replayed, until);
    found = after ?? found;
  }
  return reading(async (tx) => {
    const head = (await fetchHeads(tx, organisation, [site], 'share')).get(site) ?? found.head;
    const own = await judging(ledger, tx, organisation);
    ledger.counters.replays += 1;
    const replayed = await replay((work) => work(tx), own, organisation, site, { until });
    return keep(organisation, { head, own }, replayed, until);
  });
}

/** The cache gets a copy of its own, if the site was judged by the same book. */
function keep(organisation: string, { head, own }: Found, replayed: Replayed, until: number | undefined): SiteView {
  const view = { state: replayed.state, book: own.book };
  if (until !== undefined || head.unjudged !== null || head.packs_hash !== judgedBy(own)) return view;
  const state = own.fold.cloneState(replayed.state);
  own.cache.offer(organisation, head.site, { ...entryOf(head, replayed), state });
  return view;
}

/** Bring a site's state into the cache, outside any lock. */
export async function warm(ledger: Ledger, organisation: string, site: string): Promise<void> {
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  const found = await reading((tx) => headOf(tx, ledger, organisation, site));
  if (found === undefined || ledger.cache.peek(organisation, site)?.version === found.head.version) return;
  await readWhole(ledger, organisation, found, undefined);
}
