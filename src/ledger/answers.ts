import type { Transaction } from '../db/port.js';
import type { Finding } from '../engine/finding.js';
import { findingsNaming } from '../findings/store.js';
import { keyOf } from './read.js';
import type { EventFault, EventResult, Incoming } from './results.js';
import type { Judged } from './settle.js';

/** How one event fared: refused with faults, new, or known. */
export type Fate =
  | { readonly status: 'rejected'; readonly faults: readonly EventFault[] }
  | { readonly status: 'accepted' | 'duplicate' };

export interface Fared {
  /** One for each event of the batch, in their order. */
  readonly fates: readonly Fate[];
  /** What was appended, by site. */
  readonly fresh: ReadonlyMap<string, readonly Incoming[]>;
  readonly judged: readonly Judged[];
  /** Sites that could not be judged, and why. */
  readonly unjudged: ReadonlyMap<string, string>;
  /** By `keyOf`. */
  readonly notices: ReadonlyMap<string, string>;
}

/**
 * The answer to each event. New and known ones name the findings that speak of them now: those of new events were just
 * said by the fold, those of known ones are looked up after the changes were written.
 */
export async function answersFor(
  tx: Transaction,
  organisation: string,
  batch: readonly Incoming[],
  { fates, fresh, judged, unjudged, notices }: Fared,
): Promise<EventResult[]> {
  const named = new Map<string, string[]>();
  const appended = new Set<string>();
  for (const events of fresh.values()) for (const { event } of events) appended.add(keyOf(event));
  for (const { folded } of judged) nameFindings(named, folded.said.values(), appended);
  const known = new Map<string, Incoming['event']>();
  fates.forEach(({ status }, index) => {
    const event = batch[index]?.event;
    if (status === 'duplicate' && event !== undefined && !appended.has(keyOf(event))) known.set(keyOf(event), event);
  });
  const places = [...known.values()].map(({ source, id, site, at }) => ({ source, id, site, at }));
  for (const { source, id, finding } of await findingsNaming(tx, organisation, places)) {
    push(named, keyOf({ source, id }), finding);
  }
  return batch.map(({ event: { source, id, site } }, index): EventResult => {
    const fate = fates[index];
    if (fate === undefined || fate.status === 'rejected') {
      return { source, id, status: 'rejected', findings: [], faults: fate?.faults ?? [] };
    }
    const findings = named.get(keyOf({ source, id })) ?? [];
    const pending = unjudged.has(site) ? { judgement: 'pending' as const } : {};
    // Before its site is judged nobody knows what an event will find there.
    const notice = unjudged.has(site) ? undefined : notices.get(keyOf({ source, id }));
    return { source, id, status: fate.status, findings, ...(notice === undefined ? {} : { notice }), ...pending };
  });
}

/** Which findings speak of which of these events, in order of opening. */
function nameFindings(named: Map<string, string[]>, findings: Iterable<Finding>, wanted: ReadonlySet<string>): void {
  const inOrder = [...findings].sort((a, b) => a.openedAt - b.openedAt || (a.id < b.id ? -1 : 1));
  for (const { id, evidence, closedBy } of inOrder) {
    const keys = new Set(evidence.map(keyOf));
    if (closedBy !== undefined && 'source' in closedBy) keys.add(keyOf(closedBy));
    for (const key of keys) if (wanted.has(key)) push(named, key, id);
  }
}

function push(map: Map<string, string[]>, key: string, value: string): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
