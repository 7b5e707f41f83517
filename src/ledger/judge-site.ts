import type { Transaction } from '../db/port.js';
import { compareKeys } from '../events/order.js';
import type { Ledger } from './context.js';
import { type Folded, stepOn, wholeOf } from './fold-site.js';
import type { SiteHead } from './heads.js';
import { foldFailure, type OpenSite, waitingForReplay } from './open-sites.js';
import { counts, replay } from './replay.js';
import type { Incoming } from './results.js';
import type { Judged } from './settle.js';
import type { SiteEntry } from './site-cache.js';

/**
 * Fold a site's new events: stepped on when all of them come after the last one applied, else the whole ledger again,
 * once for all of them. The events are in the ledger already, and the head counts them.
 * @param events in order of the fold.
 * @param takesBack whether one of them retracts an event that was folded before.
 * @returns the reason if the site cannot be judged now.
 */
export async function judgeSite(
  tx: Transaction,
  ledger: Ledger,
  organisation: string,
  { head, entry, unjudged }: OpenSite,
  events: readonly Incoming[],
  takesBack: boolean,
): Promise<string | { readonly entry: SiteEntry; readonly judged: Judged }> {
  if (entry === undefined) return unjudged ?? waitingForReplay;
  const { book, fold, counters, replayInline } = ledger;
  const { last } = entry.state;
  const inOrder = events.map(({ event }) => event);
  const otherPacks = head.packs_hash !== book.hash;
  const isLate =
    last !== null && inOrder.some((event) => counts(event, entry.retracted) && compareKeys(event, last) <= 0);
  try {
    let after: SiteEntry;
    let folded: Folded;
    if (otherPacks || isLate || takesBack) {
      if (head.events > replayInline) return waitingForReplay;
      counters.replays += 1;
      const replayed = await replay((work) => work(tx), ledger, organisation, head.site);
      folded = wholeOf(fold, book, replayed, head.swept_to);
      after = { version: head.version, state: replayed.state, retracted: replayed.retracted };
    } else {
      folded = stepOn(fold, book, entry, inOrder, head.swept_to);
      after = { ...entry, version: head.version };
    }
    standAt(head, after, folded, book.hash);
    const cause = otherPacks ? 'replay' : isLate || takesBack ? 'late' : 'live';
    return { entry: after, judged: { head, folded, cause } };
  } catch (error) {
    return foldFailure(ledger, organisation, head.site, error);
  }
}

/** The head of a site whose fold stands at its last event. */
export function standAt(head: SiteHead, entry: SiteEntry, folded: Folded, packsHash: string): void {
  const { last } = entry.state;
  head.last_at = last?.at ?? null;
  head.last_rank = last?.rank ?? null;
  head.last_source = last?.source ?? null;
  head.last_id = last?.id ?? null;
  head.next_due = folded.nextDue;
  head.packs_hash = packsHash;
  head.unjudged = null;
}
