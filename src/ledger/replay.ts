import type { AnyEvent } from '../events/event.js';
import type { OrderKey } from '../events/order.js';
import type { Finding } from '../engine/finding.js';
import type { SiteState } from '../engine/state.js';
import type { PackBook } from '../packs/book.js';
import {
  checkpointOf,
  checkpointsOf,
  startingPoint,
  stateOf,
  thin,
  type Checkpoint,
  type NewCheckpoint,
} from './checkpoints.js';
import type { Fold } from './fold.js';
import { meet, meetingPlaces } from './meet.js';
import type { SiteEntry } from './site-cache.js';
import { keyOf, ledgerPages, type Reading, retractedKeys } from './read.js';

export interface Replayed {
  /** Stands at the last event that counts. */
  readonly state: SiteState;
  /** Every finding the fold touched since the starting point, as it stands after the last event. */
  readonly touched: Map<string, Finding>;
  readonly retracted: Set<string>;
  /** Where the replay began; null: at the first event. */
  readonly start: { readonly checkpoint: Checkpoint; readonly state: string } | null;
  /** Rows of the ledger that were read. */
  readonly read: number;
  /** Events folded into the state, from the first one on. */
  readonly events: number;
  /** Checkpoints of the way, and those that stood there before. */
  readonly made: readonly NewCheckpoint[];
  readonly overtaken: readonly Checkpoint[];
  /** The checkpoint whose state was met again: the replay stopped there, since from it on everything is as before. */
  readonly met?: Checkpoint;
}

export interface ReplayRange {
  /** Start strictly before this key: what is folded there may have changed. */
  readonly before?: OrderKey;
  /** Last instant (ms) whose events are folded; absent: all. */
  readonly until?: number;
  /** The site's checkpoints, newest first, if they are at hand. */
  readonly known?: readonly Checkpoint[];
  /** After this key the ledger is as it was when the checkpoints were made: the replay may stop when it meets one. */
  readonly settledAfter?: OrderKey;
}

/**
 * Fold a site from the newest checkpoint that can be trusted, or else from its first event. The only way to a state
 * besides stepping a cached one: a late event, a retraction, other packs and a process that is behind all come here.
 */
export async function replay(
  reading: Reading,
  judge: { readonly fold: Fold; readonly book: PackBook; readonly spacing: number },
  organisation: string,
  site: string,
  { before, until, known: atHand, settledAfter }: ReplayRange = {},
): Promise<Replayed> {
  const { fold, book, spacing } = judge;
  const known = atHand ?? (await checkpointsOf(reading, organisation, site));
  const limit = before ?? (until === undefined ? undefined : endOf(until));
  const checkpoint = startingPoint(known, judge, limit);
  const text = checkpoint === undefined ? undefined : await stateOf(reading, organisation, site, checkpoint);
  const start = checkpoint === undefined || text === undefined ? null : { checkpoint, state: text };
  const state = start === null ? fold.createState() : (JSON.parse(start.state) as SiteState);
  // Packs that begin after the checkpoint leave it standing; when the site is to be looked at next is theirs to say.
  if (start !== null) state.nextDue = fold.nextDue(state, book);
  const touched = new Map<string, Finding>();
  const retracted = await retractedKeys(reading, organisation, site);
  const range = { after: start?.checkpoint, until };
  let made: NewCheckpoint[] = [];
  let read = 0;
  let events = start?.checkpoint.events ?? 0;
  let marked = events;
  const ahead = settledAfter === undefined ? [] : meetingPlaces(known, judge, settledAfter);
  const since = (end: number) => {
    const position = known.findIndex((one) => one === start?.checkpoint);
    return known.slice(end, position < 0 ? known.length : position);
  };
  for await (const page of ledgerPages(reading, organisation, site, range)) {
    for (const event of page) {
      const met = await meet(reading, organisation, site, ahead, state, event);
      if (met !== undefined) {
        const overtaken = since(known.indexOf(met) + 1);
        return { state, touched, retracted, start, read, events, made, overtaken, met };
      }
      read += 1;
      if (!counts(event, retracted)) continue;
      for (const finding of fold.step(state, event, book)) touched.set(finding.id, finding);
      events += 1;
      if (events - marked < spacing) continue;
      marked = events;
      const passed = checkpointOf(state, events, judge);
      if (passed !== undefined) made = thin([passed, ...made], spacing);
    }
  }
  return { state, touched, retracted, start, read, events, made, overtaken: since(0) };
}

/** The cached state of a site after a replay. */
export function entryOf(
  { version }: { readonly version: number },
  { state, retracted, events, made, start }: Replayed,
): SiteEntry {
  return { version, state, retracted, folded: events, checkpointed: made[0]?.events ?? start?.checkpoint.events ?? 0 };
}

/** A key after every event of an instant. */
function endOf(at: number): OrderKey {
  return { at: at + 1, rank: -1, source: '', id: '' };
}

/** A retracted event has no place in the fold; retracting a retraction does nothing. */
export function counts(event: AnyEvent, retracted: ReadonlySet<string>): boolean {
  return event.type === 'event.retracted' || !retracted.has(keyOf(event));
}
