import type { Transaction } from '../db/port.js';
import { findingsTouchedSince } from '../db/sql/checkpoints.js';
import { compareKeys, type OrderKey } from '../events/order.js';
import { type Checkpoint, checkpointOf, checkpointsOf, type NewCheckpoint, startingPoint } from './checkpoints.js';
import type { Judging } from './judging.js';
import { answerOf, type Folded, stepOn } from './fold-site.js';
import type { SiteHead } from './heads.js';
import { judgedBy } from './judged-by.js';
import { foldFailure, type OpenSite, waitingForReplay } from './open-sites.js';
import { answerUpTo, countOn, type TouchedFinding } from './meet.js';
import { counts, entryOf, replay } from './replay.js';
import type { Incoming } from './results.js';
import type { Judged } from './settle.js';
import type { SiteEntry } from './site-cache.js';

export interface SiteAnswer {
  readonly entry: SiteEntry;
  readonly judged: Judged;
  readonly made: readonly NewCheckpoint[];
  readonly overtaken: readonly Checkpoint[];
}
/** The site keeps its events, but is not judged in this transaction; checkpoints that are no longer true still go. */
export interface Unjudged {
  readonly unjudged: string;
  readonly overtaken: readonly Checkpoint[];
}

/**
 * Fold a site's new events: stepped on when all of them come after the last one applied, else again from the newest
 * checkpoint before the earliest of them, once for all. The events are in the ledger already, and the head counts them.
 * @param events in order of the fold.
 * @param takenBack a place before the earliest event folded already that one of them retracts.
 */
export async function judgeSite(
  tx: Transaction,
  ledger: Judging,
  organisation: string,
  { head, entry, unjudged, made }: OpenSite,
  events: readonly Incoming[],
  takenBack: OrderKey | undefined,
): Promise<SiteAnswer | Unjudged> {
  const { book, fold, counters, replayInline } = ledger;
  const judge = judgedBy(ledger);
  const inOrder = events.map(({ event }) => event);
  const otherPacks = head.packs_hash !== judge;
  const late = earliest(entry, inOrder, takenBack);
  if (entry !== undefined && !otherPacks && late === undefined) {
    try {
      const folded = stepOn(fold, book, entry, inOrder, head.swept_to);
      const events = entry.folded + inOrder.filter((event) => counts(event, entry.retracted)).length;
      const due = events - entry.checkpointed >= ledger.spacing;
      const checkpoint = due ? checkpointOf(entry.state, events, ledger) : undefined;
      const checkpointed = checkpoint?.events ?? entry.checkpointed;
      const after = { ...entry, version: head.version, folded: events, checkpointed };
      standAt(head, after, folded, judge);
      const all = checkpoint === undefined ? made : [checkpoint, ...made];
      return { entry: after, judged: { head, folded, cause: 'live' }, made: all, overtaken: [] };
    } catch (error) {
      return { unjudged: foldFailure(ledger, organisation, head.site, error), overtaken: [] };
    }
  }
  const reading = <T>(work: (tx: Transaction) => Promise<T>) => work(tx);
  const known = await checkpointsOf(reading, organisation, head.site);
  const start = startingPoint(known, ledger, late);
  const after = late === undefined ? [] : known.filter((one) => compareKeys(one, late) >= 0);
  if (entry === undefined) return { unjudged: unjudged ?? waitingForReplay, overtaken: after };
  if (entry.folded + events.length - (start?.events ?? 0) > replayInline)
    return { unjudged: waitingForReplay, overtaken: after };
  try {
    counters.replays += 1;
    const settledAfter = otherPacks ? undefined : latest(inOrder, takenBack);
    const replayed = await replay(reading, ledger, organisation, head.site, { before: late, known, settledAfter });
    counters.replayedEvents += replayed.read;
    if (replayed.met !== undefined) {
      counters.replaysMet += 1;
      const { start, met, made, overtaken } = replayed;
      const stored = await tx.query<TouchedFinding>(
        findingsTouchedSince,
        organisation,
        head.site,
        start?.checkpoint.at ?? Number.MIN_SAFE_INTEGER,
      );
      const folded = answerUpTo(replayed, met, stored, head.next_due);
      const more = replayed.events - met.events;
      await countOn(tx, organisation, head.site, met, more);
      const { folded: before, checkpointed } = entry;
      const same = { ...entry, version: head.version, folded: before + more, checkpointed: checkpointed + more };
      return { entry: same, judged: { head, folded, cause: 'late' }, made, overtaken };
    }
    const folded = await answerOf(ledger, replayed, head.swept_to, touchedSince(tx, organisation, head.site));
    const anew = entryOf(head, replayed);
    standAt(head, anew, folded, judge);
    const judged: Judged = { head, folded, cause: otherPacks ? 'replay' : 'late' };
    return { entry: anew, judged, made: replayed.made, overtaken: replayed.overtaken };
  } catch (error) {
    return { unjudged: foldFailure(ledger, organisation, head.site, error), overtaken: after };
  }
}

/**
 * The earliest place that has to be folded again; undefined when all events come after the last one applied. Without a
 * state at hand nobody knows the last one: then it is the place of the first event.
 */
function earliest(
  entry: SiteEntry | undefined,
  events: readonly Incoming['event'][],
  takenBack: OrderKey | undefined,
): OrderKey | undefined {
  const first = entry === undefined ? events[0] : events.find((event) => counts(event, entry.retracted));
  const last = entry?.state.last ?? null;
  const inOrder = entry !== undefined && (last === null || first === undefined || compareKeys(first, last) > 0);
  const late = inOrder ? undefined : first;
  if (late === undefined || takenBack === undefined) return late ?? takenBack;
  return compareKeys(late, takenBack) < 0 ? late : takenBack;
}

/** The last place that is new. */
function latest(events: readonly Incoming['event'][], takenBack: OrderKey | undefined): OrderKey | undefined {
  const last = events.at(-1);
  if (last === undefined || takenBack === undefined) return last ?? takenBack;
  return compareKeys(last, takenBack) > 0 ? last : takenBack;
}

export function touchedSince(tx: Transaction, organisation: string, site: string) {
  return async (at: number): Promise<string[]> => {
    const rows = await tx.query<TouchedFinding>(findingsTouchedSince, organisation, site, at);
    return rows.map(({ id }) => id);
  };
}

/** The head of a site whose fold stands at its last event. */
export function standAt(head: SiteHead, entry: SiteEntry, folded: Folded, judge: string): void {
  const { last } = entry.state;
  head.last_at = last?.at ?? null;
  head.last_rank = last?.rank ?? null;
  head.last_source = last?.source ?? null;
  head.last_id = last?.id ?? null;
  head.next_due = folded.nextDue;
  head.packs_hash = judge;
  head.unjudged = null;
}
