import type { AnyEvent } from '../events/event.js';
import { compareKeys } from '../events/order.js';
import type { Probe } from '../engine/checks.js';
import type { Finding } from '../engine/finding.js';
import { advance, createState, step } from '../engine/fold.js';
import { refKey } from '../engine/refs.js';
import type { SiteState } from '../engine/state.js';
import type { PackBook } from '../packs/book.js';

export interface Folded {
  readonly state: SiteState;
  /** Every finding the fold ever touched, as it last stood, by id. */
  readonly findings: Map<string, Finding>;
}

/**
 * The fold without writing: events of one site in any order, retracted ones left out, folded in the order of their
 * keys and advanced to `until` (ms) when given; `look` sees the state after each event and at the end.
 */
export function foldSite(
  events: readonly AnyEvent[],
  book: PackBook,
  until?: number,
  probe?: Probe,
  look?: (state: SiteState) => void,
): Folded {
  const state = createState();
  const findings = new Map<string, Finding>();
  const keep = (touched: Finding[]) => {
    for (const finding of touched) findings.set(finding.id, finding);
  };
  for (const event of effective(events)) {
    if (until !== undefined && event.at > until) break;
    keep(step(state, event, book, probe));
    look?.(state);
  }
  if (until !== undefined) {
    keep(advance(state, until, book, probe));
    look?.(state);
  }
  return { state, findings: new Map([...findings].map(([id, finding]) => [id, structuredClone(finding)])) };
}

/** Sorted by key, duplicates once, without what a retraction of the same site names (retractions themselves stand). */
export function effective(events: readonly AnyEvent[]): AnyEvent[] {
  const once = new Map(events.map((event) => [refKey(event), event]));
  const retracted = new Set<string>();
  for (const event of once.values())
    if (event.type === 'event.retracted') retracted.add(`${event.site}|${refKey(event.data)}`);
  return [...once.values()]
    .filter((event) => event.type === 'event.retracted' || !retracted.has(`${event.site}|${refKey(event)}`))
    .sort(compareKeys);
}
