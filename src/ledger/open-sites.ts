import type { Transaction } from '../db/port.js';
import { holdersOf } from './append.js';
import { checkpointsOf, type NewCheckpoint, startingPoint } from './checkpoints.js';
import type { Ledger } from './context.js';
import { isDatabaseError } from './failures.js';
import { beginSites, fetchHeads, type SiteHead } from './heads.js';
import { judgedBy } from './judged-by.js';
import { type Judging, judging, judgingLocked } from './judging.js';
import { hasMore, keyOf, type Reading } from './read.js';
import { entryOf, replay } from './replay.js';
import type { Incoming } from './results.js';
import type { SiteEntry } from './site-cache.js';

/** Said of a site whose ledger is too long to be replayed while somebody waits. */
export const waitingForReplay = 'waiting for its replay';

/** A site that a transaction writes to: its head locked, its state at hand unless it cannot be judged now. */
export interface OpenSite {
  readonly head: SiteHead;
  readonly entry?: SiteEntry;
  /** Checkpoints passed while the state was brought at hand. */
  readonly made: readonly NewCheckpoint[];
  /** Why it is not judged in this transaction. */
  readonly unjudged?: string;
}

export interface OpenSites {
  readonly judging: Judging;
  readonly open: ReadonlyMap<string, OpenSite>;
}

/**
 * Lock the sites of a batch and bring their states at hand: from the cache, or else from the ledger. Sites begin here,
 * with their first configuration.
 * @param held gets every site whose cache entry was taken: the caller releases them when the transaction has ended.
 */
export async function openSites(
  tx: Transaction,
  ledger: Ledger,
  organisation: string,
  batch: readonly Incoming[],
  held: Set<string>,
): Promise<OpenSites> {
  const sites = [...new Set(batch.map(({ event }) => event.site))].sort();
  const heads = await fetchHeads(tx, organisation, sites, 'write');
  const own =
    heads.size === 0
      ? await judging(ledger, tx, organisation)
      : await judgingLocked(ledger, tx, organisation, heads.values());
  const beginning = await sitesToBegin(tx, organisation, batch, heads);
  if (beginning.length > 0) {
    await beginSites(tx, organisation, beginning, ledger.now(), judgedBy(own));
    for (const [site, head] of await fetchHeads(tx, organisation, beginning, 'write')) heads.set(site, head);
  }
  const open = new Map<string, OpenSite>();
  for (const [site, head] of heads) {
    held.add(site);
    const cached = ledger.cache.take(organisation, site, head.version);
    open.set(site, await stateAtHand(tx, own, organisation, head, cached));
  }
  return { judging: own, open };
}

async function stateAtHand(
  tx: Transaction,
  ledger: Judging,
  organisation: string,
  head: SiteHead,
  cached: SiteEntry | undefined,
): Promise<OpenSite> {
  if (head.unjudged !== null) return { head, unjudged: head.unjudged, made: [] };
  if (cached !== undefined) return { head, entry: cached, made: [] };
  if (head.version === 0) {
    const state = ledger.fold.createState();
    return { head, entry: { version: 0, state, retracted: new Set(), folded: 0, checkpointed: 0 }, made: [] };
  }
  const reading: Reading = (work) => work(tx);
  const known = await checkpointsOf(reading, organisation, head.site);
  const start = startingPoint(known, ledger);
  // What the checkpoint counts is without the events that were taken back: then as many are left at most.
  const left = head.events - (start?.events ?? 0);
  const most = ledger.replayInline;
  const long = left > most && (start === undefined || (await hasMore(reading, organisation, head.site, start, most)));
  if (long) return { head, unjudged: waitingForReplay, made: [] };
  try {
    ledger.counters.replays += 1;
    const replayed = await replay(reading, ledger, organisation, head.site, { known });
    ledger.counters.replayedEvents += replayed.read;
    return { head, entry: entryOf(head, replayed), made: replayed.made };
  } catch (error) {
    return { head, unjudged: foldFailure(ledger, organisation, head.site, error), made: [] };
  }
}

/** Sites without a head for which the batch holds a configuration whose key is not taken elsewhere. */
async function sitesToBegin(
  tx: Transaction,
  organisation: string,
  batch: readonly Incoming[],
  heads: ReadonlyMap<string, SiteHead>,
): Promise<string[]> {
  const first = batch.filter(({ event }) => event.type === 'site.configured' && !heads.has(event.site));
  if (first.length === 0) return [];
  const taken = new Set(
    (
      await holdersOf(
        tx,
        organisation,
        first.map(({ event }) => event),
      )
    ).map(keyOf),
  );
  return [...new Set(first.filter(({ event }) => !taken.has(keyOf(event))).map(({ event }) => event.site))].sort();
}

/** Count and log an error of the fold. @returns the reason as the head keeps it. @throws what is no error of the fold. */
export function foldFailure(ledger: Ledger, organisation: string, site: string, error: unknown): string {
  if (isDatabaseError(error)) throw error;
  const reason = error instanceof Error ? error.message : String(error);
  ledger.counters.foldFailures += 1;
  ledger.log.error({ organisation, site, err: error }, 'The fold failed; the site keeps its events and is unjudged.');
  return reason.slice(0, 500) || 'the fold failed';
}
