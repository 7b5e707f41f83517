import { dropCheckpoints, listCheckpoints, readCheckpoint, writeCheckpoints } from '../db/sql/checkpoints.js';
import type { Transaction } from '../db/port.js';
import { compareKeys, type OrderKey } from '../events/order.js';
import type { SiteState } from '../engine/state.js';
import { type Judge, judgedUpTo } from './judged-by.js';
import type { Reading } from './read.js';

/** A folded state that a replay can start from: the key of its last event, and how much is folded into it. */
export interface Checkpoint extends OrderKey {
  /**
   * Events folded into it: those of the ledger at or before its key, without the ones that were taken back. For the
   * distances between checkpoints.
   */
  readonly events: number;
  /** See `judgedUpTo`. */
  readonly packs_hash: string;
}
export interface NewCheckpoint extends Checkpoint {
  readonly state: string;
}

/** The checkpoints of a site, newest first. */
export function checkpointsOf(reading: Reading, organisation: string, site: string): Promise<Checkpoint[]> {
  return reading((tx) => tx.query<Checkpoint>(listCheckpoints, organisation, site));
}

/**
 * The newest checkpoint that a replay may start from: strictly before `before`, and folded by the present code under
 * packs that are still the ones in force up to it.
 * @param known newest first.
 */
export function startingPoint(known: readonly Checkpoint[], judge: Judge, before?: OrderKey): Checkpoint | undefined {
  return known.find(
    (one) => (before === undefined || compareKeys(one, before) < 0) && one.packs_hash === judgedUpTo(judge, one.at),
  );
}

export async function stateOf(
  reading: Reading,
  organisation: string,
  site: string,
  { at, rank, source, id }: Checkpoint,
): Promise<string | undefined> {
  const rows = await reading((tx) =>
    tx.query<{ state: string }>(readCheckpoint, organisation, site, at, rank, source, id),
  );
  return rows[0]?.state;
}

/**
 * A checkpoint of a state that stands at its last event; undefined before the first.
 * @param events how many are folded into it.
 */
export function checkpointOf(state: SiteState, events: number, judge: Judge): NewCheckpoint | undefined {
  if (state.last === null) return undefined;
  return { ...state.last, events, packs_hash: judgedUpTo(judge, state.last.at), state: JSON.stringify(state) };
}

/**
 * Write new checkpoints of a site and forget those that are no longer worth keeping, or no longer true.
 * @param gone checkpoints that a replay has overtaken.
 */
export async function keepCheckpoints(
  tx: Transaction,
  { spacing }: { readonly spacing: number },
  organisation: string,
  site: string,
  made: readonly NewCheckpoint[],
  gone: readonly Checkpoint[] = [],
): Promise<void> {
  const left = (await checkpointsOf((work) => work(tx), organisation, site)).filter(
    (one) =>
      !gone.some((other) => compareKeys(one, other) === 0) && !made.some((other) => compareKeys(one, other) === 0),
  );
  const all = [...left, ...made].sort((a, b) => compareKeys(b, a));
  const thinned = new Set(thin(all, spacing));
  const drop = [...gone, ...left.filter((one) => !thinned.has(one))];
  const write = made.filter((one) => thinned.has(one));
  const place = ({ at, rank, source, id }: OrderKey) => ({ site, at, rank, source, id });
  if (drop.length > 0) await tx.execute(dropCheckpoints, organisation, JSON.stringify(drop.map(place)));
  if (write.length > 0)
    await tx.execute(writeCheckpoints, organisation, JSON.stringify(write.map((one) => ({ site, ...one }))));
}

/**
 * Close together near the end, ever farther apart towards the beginning: one is left out when its neighbours are still
 * within a quarter of the newer one's distance from the end. The number kept grows with the logarithm of the ledger:
 * under 60 at 100,000 events.
 * @param all newest first.
 */
export function thin<T extends Checkpoint>(all: readonly T[], spacing: number): T[] {
  const end = all[0]?.events ?? 0;
  const kept: T[] = [];
  all.forEach((one, index) => {
    const newer = kept.at(-1);
    const older = all[index + 1];
    const room = newer === undefined ? 0 : Math.max(spacing, (end - newer.events) / 4);
    if (newer !== undefined && older !== undefined && newer.events - older.events <= room) return;
    kept.push(one);
  });
  return kept;
}
