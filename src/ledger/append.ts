import type { Transaction } from '../db/port.js';
import { appendEvents } from '../db/sql/append-events.js';
import { findKeys } from '../db/sql/find-keys.js';
import { keyOf } from './read.js';
import type { Incoming } from './results.js';

/** Who holds the key (sender, id) of an event. */
export interface KeyHolder {
  readonly source: string;
  readonly id: string;
  readonly site: string;
  readonly hash: string;
  /** When its event happened, ms. */
  readonly at: number;
}

/**
 * Append events, no two with the same key, to the ledger.
 * @returns the holders of the keys that were taken, by `keyOf`; every other event was appended.
 */
export async function append(
  tx: Transaction,
  organisation: string,
  events: readonly Incoming[],
  now: number,
): Promise<Map<string, KeyHolder>> {
  if (events.length === 0) return new Map();
  const rows = events.map(({ event: { source, id, site, at, rank, type, subject }, sent, hash }) => ({
    source,
    id,
    site,
    at,
    rank,
    type,
    subject,
    data: sent,
    hash,
  }));
  rows.sort((a, b) => (a.source < b.source ? -1 : a.source > b.source ? 1 : a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
  const refused = await tx.query<KeyHolder | { source: string; id: string; site: null; hash: null; at: null }>(
    appendEvents,
    organisation,
    JSON.stringify(rows),
    now,
  );
  const holders = new Map<string, KeyHolder>();
  const unseen: { source: string; id: string }[] = [];
  for (const holder of refused) {
    if (holder.site === null) unseen.push(holder);
    else holders.set(keyOf(holder), holder);
  }
  for (const holder of await holdersOf(tx, organisation, unseen)) holders.set(keyOf(holder), holder);
  if (holders.size !== refused.length) throw new Error('A key is taken, but nobody holds it.');
  return holders;
}

/** The holders of those of the keys that are taken. */
export async function holdersOf(
  tx: Transaction,
  organisation: string,
  keys: readonly { readonly source: string; readonly id: string }[],
): Promise<KeyHolder[]> {
  if (keys.length === 0) return [];
  return tx.query<KeyHolder>(findKeys, organisation, JSON.stringify(keys.map(({ source, id }) => ({ source, id }))));
}
