import type { Transaction } from '../db/port.js';
import { hasMoreEvents, readLedger, readRetractions } from '../db/sql/read-ledger.js';
import { canonicalData } from '../events/canonical.js';
import type { EventType, SentData } from '../events/catalogue.js';
import type { AnyEvent } from '../events/event.js';
import type { OrderKey } from '../events/order.js';

/** Events a page: enough to make round trips cheap, few enough to be forgotten again. */
const pageSize = 2000;

/** Runs a read: in the transaction at hand, or each in one of its own so that others get their turn in between. */
export type Reading = <T>(work: (tx: Transaction) => Promise<T>) => Promise<T>;

interface Row {
  readonly at: number;
  readonly rank: number;
  readonly source: string;
  readonly id: string;
  readonly type: string;
  readonly subject: string | null;
  readonly data: unknown;
}

/** Part of a ledger: after a key, up to and including an instant (ms). */
export interface LedgerRange {
  readonly after?: OrderKey;
  readonly until?: number;
}

/** A site's ledger in the order of the fold, a page at a time. */
export async function* ledgerPages(
  reading: Reading,
  organisation: string,
  site: string,
  range: LedgerRange = {},
): AsyncGenerator<AnyEvent[]> {
  const { until = Number.MAX_SAFE_INTEGER } = range;
  let after = range.after ?? { at: Number.MIN_SAFE_INTEGER, rank: -1, source: '', id: '' };
  for (;;) {
    const { at, rank, source, id } = after;
    const rows = await reading((tx) =>
      tx.query<Row>(readLedger, organisation, site, at, rank, source, id, until, pageSize),
    );
    if (rows.length > 0) yield rows.map((row) => eventOf(site, row));
    const last = rows.at(-1);
    if (last === undefined || rows.length < pageSize) return;
    after = last;
  }
}

/** Whether a site's ledger goes on for more than `most` events after a key. */
export async function hasMore(
  reading: Reading,
  organisation: string,
  site: string,
  { at, rank, source, id }: OrderKey,
  most: number,
): Promise<boolean> {
  const rows = await reading((tx) => tx.query(hasMoreEvents, organisation, site, at, rank, source, id, most));
  return rows.length > 0;
}

/** What has no place in the fold: the targets of a site's retractions, by `keyOf`. */
export async function retractedKeys(reading: Reading, organisation: string, site: string): Promise<Set<string>> {
  const rows = await reading((tx) => tx.query<{ source: string; id: string }>(readRetractions, organisation, site));
  return new Set(rows.map(keyOf));
}

/** Sender and id as one string; a line break is in neither. */
export function keyOf(event: { readonly source: string; readonly id: string }): string {
  return `${event.source}\n${event.id}`;
}

/** The stored data passed the catalogue when it was accepted, so its shape is that of its type. */
function eventOf(site: string, row: Row): AnyEvent {
  const { at, rank, source, id, type, subject } = row;
  const data = canonicalData(type as EventType, row.data as SentData[EventType]);
  return { at, rank, source, id, type, site, ...(subject === null ? {} : { subject }), data } as AnyEvent;
}
