import type { AnyEvent } from '../events/event.js';
import type { Finding } from '../engine/finding.js';
import type { SiteState } from '../engine/state.js';
import type { PackBook } from '../packs/book.js';
import type { Fold } from './fold.js';
import { keyOf, ledgerPages, type Reading, retractedKeys } from './read.js';

export interface Replayed {
  /** Stands at the last event that counts. */
  readonly state: SiteState;
  /** Every finding the fold ever touched, as it stands after the last event. */
  readonly touched: Map<string, Finding>;
  readonly retracted: Set<string>;
}

/**
 * Fold a site from its first event. The only way to a state besides stepping a cached one, so a late event, a
 * retraction, other packs and a process that is behind all come here. A checkpoint would be one more starting point for
 * the same loop.
 * @param until last instant (ms) whose events are folded; absent: all.
 */
export async function replay(
  reading: Reading,
  { fold, book }: { readonly fold: Fold; readonly book: PackBook },
  organisation: string,
  site: string,
  until?: number,
): Promise<Replayed> {
  const state = fold.createState();
  const touched = new Map<string, Finding>();
  const retracted = await retractedKeys(reading, organisation, site);
  for await (const page of ledgerPages(reading, organisation, site, until)) {
    for (const event of page) {
      if (!counts(event, retracted)) continue;
      for (const finding of fold.step(state, event, book)) touched.set(finding.id, finding);
    }
  }
  return { state, touched, retracted };
}

/** A retracted event has no place in the fold; retracting a retraction does nothing. */
export function counts(event: AnyEvent, retracted: ReadonlySet<string>): boolean {
  return event.type === 'event.retracted' || !retracted.has(keyOf(event));
}
