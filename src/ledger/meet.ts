import { raiseCheckpoints } from '../db/sql/checkpoints.js';
import type { Transaction } from '../db/port.js';
import type { Finding } from '../engine/finding.js';
import type { SiteState } from '../engine/state.js';
import { compareKeys, type OrderKey } from '../events/order.js';
import { type Checkpoint, stateOf } from './checkpoints.js';
import type { Folded } from './fold-site.js';
import { type Judge, judgedUpTo } from './judged-by.js';
import type { Reading } from './read.js';
import type { Replayed } from './replay.js';

/**
 * Where a late event leaves no trace any more (law L23): a replay whose state is, to the letter, the one stored at a
 * checkpoint would go on exactly as the fold went before. It stops there; the cached state and whatever was found after
 * that place stand as they are.
 */

/** The checkpoints that a replay may meet, oldest first: after all that is new, and true under the present code and packs. */
export function meetingPlaces(known: readonly Checkpoint[], judge: Judge, settledAfter: OrderKey): Checkpoint[] {
  return known
    .filter((one) => compareKeys(one, settledAfter) > 0 && one.packs_hash === judgedUpTo(judge, one.at))
    .reverse();
}

/**
 * The checkpoint at which the state stands and which it equals, just before `next` is folded. Not one with more to come
 * at its very instant, by event or by time: findings remember the instant they were touched, and must fall on one side.
 * @param ahead is shortened by those that were passed.
 */
export async function meet(
  reading: Reading,
  organisation: string,
  site: string,
  ahead: Checkpoint[],
  state: SiteState,
  next: OrderKey,
): Promise<Checkpoint | undefined> {
  while (ahead[0] !== undefined && compareKeys(ahead[0], next) < 0) {
    const place = ahead.shift() as Checkpoint;
    if (state.last === null || compareKeys(state.last, place) !== 0) continue;
    if (next.at <= place.at || (state.nextDue !== null && state.nextDue <= place.at)) continue;
    // To the letter: the order of a record's keys is an order of judging, too.
    if ((await stateOf(reading, organisation, site, place)) === JSON.stringify(state)) return place;
  }
  return undefined;
}

/** A stored finding and the instant of the fold (ms) at which it was touched last. */
export interface TouchedFinding {
  readonly id: string;
  readonly touched: number;
}

/**
 * What a replay that stopped at `met` says: what was touched last after that place stands as it is stored; the rest is
 * what the replay says, or what it was before the replay began, or no longer supported.
 * @param stored the site's findings touched since the replay began.
 */
export function answerUpTo(
  { touched, start }: Replayed,
  met: Checkpoint,
  stored: readonly TouchedFinding[],
  nextDue: number | null,
): Folded {
  const said = new Map<string, Finding>(touched);
  const gone: string[] = [];
  const before = start === null ? undefined : (JSON.parse(start.state) as SiteState);
  for (const { id, touched: at } of stored) {
    if (at > met.at) said.delete(id);
    else if (!said.has(id)) {
      const finding = before?.findings[id] ?? before?.closed.find((closed) => closed.id === id);
      if (finding === undefined) gone.push(id);
      else said.set(id, finding);
    }
  }
  return { said, complete: false, gone, nextDue };
}

/** The checkpoints at and after a place have so many more events folded into them, or fewer. */
export async function countOn(
  tx: Transaction,
  organisation: string,
  site: string,
  { at, rank, source, id }: OrderKey,
  more: number,
): Promise<void> {
  if (more !== 0) await tx.execute(raiseCheckpoints, organisation, site, at, rank, source, id, more);
}
