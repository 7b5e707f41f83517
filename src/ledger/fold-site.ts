import type { AnyEvent } from '../events/event.js';
import type { Finding } from '../engine/finding.js';
import type { SiteState } from '../engine/state.js';
import type { PackBook } from '../packs/book.js';
import type { Fold } from './fold.js';
import { counts, type Replayed } from './replay.js';
import type { SiteEntry } from './site-cache.js';

/** What the fold says of a site after a batch; the findings still belong to the states and are read before those move on. */
export interface Folded {
  /** Findings as they should be stored, by id. */
  readonly said: Map<string, Finding>;
  /** Whether `said` is all that was ever found at the site; else only what may have changed. */
  readonly complete: boolean;
  /** Ids that the fold no longer supports; for a complete answer, whatever `said` lacks. */
  readonly gone: readonly string[];
  readonly nextDue: number | null;
}

/**
 * Step events that all come after the last one applied. If the stored findings had been swept past that event, the new
 * events may undo what the sweep found: the sweep is repeated before and after, and what only the first one touched goes
 * back to what it was.
 * @param events in order of the fold.
 */
export function stepOn(
  fold: Fold,
  book: PackBook,
  entry: SiteEntry,
  events: readonly AnyEvent[],
  sweptTo: number,
): Folded {
  const { state, retracted } = entry;
  const before = new Map<string, Finding | null>();
  if (isBeyond(sweptTo, state)) {
    for (const { id } of fold.advance(fold.cloneState(state), sweptTo, book)) {
      before.set(id, state.findings[id] ?? state.closed.find((closed) => closed.id === id) ?? null);
    }
  }
  const said = new Map<string, Finding>();
  for (const event of events) {
    if (!counts(event, retracted)) continue;
    for (const finding of fold.step(state, event, book)) said.set(finding.id, finding);
  }
  const nextDue = sweepOver(fold, book, entry, sweptTo, said);
  const gone: string[] = [];
  for (const [id, finding] of before) {
    if (said.has(id)) continue;
    if (finding === null) gone.push(id);
    else said.set(id, finding);
  }
  return { said, complete: false, gone, nextDue };
}

/**
 * The answer of a replay, swept again as far as the stored findings were. A replay from a checkpoint also answers for
 * the stored findings that were touched since and that it did not touch: they go back to what they were there, or are
 * no longer supported.
 * @param touchedSince ids of the stored findings touched at or after an instant of the fold.
 */
export async function answerOf(
  { fold, book }: { readonly fold: Fold; readonly book: PackBook },
  replayed: Replayed,
  sweptTo: number,
  touchedSince: (at: number) => Promise<readonly string[]>,
): Promise<Folded> {
  const said = new Map(replayed.touched);
  const nextDue = sweepOver(fold, book, replayed, sweptTo, said);
  if (replayed.start === null) return { said, complete: true, gone: [], nextDue };
  const stored = await touchedSince(replayed.start.checkpoint.at);
  const open = stored.filter((id) => !said.has(id));
  if (open.length === 0) return { said, complete: false, gone: [], nextDue };
  const before = JSON.parse(replayed.start.state) as SiteState;
  const gone: string[] = [];
  for (const id of open) {
    const finding = before.findings[id] ?? before.closed.find((closed) => closed.id === id);
    if (finding === undefined) gone.push(id);
    else said.set(id, finding);
  }
  return { said, complete: false, gone, nextDue };
}

/** Advance a copy to `to` and lay what it touches over `said`. Returns the next due instant after it. */
export function sweepOver(
  fold: Fold,
  book: PackBook,
  entry: Pick<SiteEntry, 'state'>,
  to: number,
  said: Map<string, Finding>,
): number | null {
  const { state } = entry;
  if (!isBeyond(to, state)) return state.nextDue;
  const copy = fold.cloneState(state);
  for (const finding of fold.advance(copy, to, book)) said.set(finding.id, finding);
  return copy.nextDue;
}

/** A site without events has no due instants to come to. */
function isBeyond(to: number, state: SiteState): boolean {
  return state.last !== null && to > state.at;
}
