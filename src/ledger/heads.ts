import type { Transaction } from '../db/port.js';
import { createHeads } from '../db/sql/create-heads.js';
import { lockHeads, lockHeadsForReading, lockHeadUnlessBusy, readHeads } from '../db/sql/lock-heads.js';
import { updateHeads } from '../db/sql/update-heads.js';

/** The narrow row of a site: where its fold stands. Instants in ms. */
export interface SiteHead {
  readonly site: string;
  /** Grows by one with every commit that adds to the ledger or judges it anew: a cached state is of one version. */
  version: number;
  /** Order key of the last event applied; null before the first. */
  last_at: number | null;
  last_rank: number | null;
  last_source: string | null;
  last_id: string | null;
  /** What the stored findings were judged by; see `judgedBy`. */
  packs_hash: string;
  next_due: number | null;
  /** Stored findings stand at this instant, or at the last event if that is later. */
  swept_to: number;
  /** Events in the ledger. */
  events: number;
  audit_seq: number;
  audit_hash: string;
  /** Why the fold has not run over the latest events; null when it has. */
  unjudged: string | null;
  /** How many packs its organisation has published; read along, never written. */
  readonly publications: number;
}

const locks = { write: lockHeads, share: lockHeadsForReading, none: readHeads, unlessBusy: lockHeadUnlessBusy };

/** The heads of `sites` by site, locked as asked until the transaction ends. Sites without a head are left out. */
export async function fetchHeads(
  tx: Transaction,
  organisation: string,
  sites: readonly string[],
  lock: keyof typeof locks,
): Promise<Map<string, SiteHead>> {
  const rows = await tx.query<SiteHead>(locks[lock], organisation, JSON.stringify(sites));
  return new Map(rows.map((head) => [head.site, head]));
}

/** Begin sites that have none yet. `sites` in ascending order. */
export async function beginSites(
  tx: Transaction,
  organisation: string,
  sites: readonly string[],
  now: number,
  judge: string,
): Promise<void> {
  await tx.execute(createHeads, organisation, JSON.stringify(sites), now, judge);
}

export async function saveHeads(
  tx: Transaction,
  organisation: string,
  heads: readonly SiteHead[],
  now: number,
): Promise<void> {
  if (heads.length > 0) await tx.execute(updateHeads, organisation, JSON.stringify(heads), now);
}
