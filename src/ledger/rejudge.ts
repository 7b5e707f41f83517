import type { Transaction } from '../db/port.js';
import type { PlacedChange } from '../findings/store.js';
import type { Ledger } from './context.js';
import { keepCheckpoints } from './checkpoints.js';
import { answerOf } from './fold-site.js';
import { fetchHeads, saveHeads, type SiteHead } from './heads.js';
import { standAt, touchedSince } from './judge-site.js';
import { judgedBy } from './judged-by.js';
import { type Judging, judging, judgingLocked } from './judging.js';
import { foldFailure } from './open-sites.js';
import type { Reading } from './read.js';
import { entryOf, replay, type Replayed } from './replay.js';
import { settle } from './settle.js';
import type { SiteEntry } from './site-cache.js';

/** How often a ledger is read without keeping its writers out before it is read with the site locked. */
const free = 3;

/**
 * Fold a site anew and bring its findings in line. The ledger is read outside the lock, so that the site can go on
 * receiving; if it has received something by then, or was judged by another process, perhaps by other packs, again; at
 * last under the lock. A judgement makes a new version of the site: one that was begun before it rests on checkpoints and
 * findings that are gone.
 * @returns what came of it; undefined for a site that is not there.
 */
export async function rejudge(ledger: Ledger, organisation: string, site: string): Promise<Conclusion | undefined> {
  const reading: Reading = (work) => ledger.database.withOrganisation(organisation, work);
  for (let attempt = 1; attempt <= free; attempt++) {
    const before = await reading(async (tx) => {
      const head = (await fetchHeads(tx, organisation, [site], 'none')).get(site);
      return head && { version: head.version, own: await judging(ledger, tx, organisation, head.publications) };
    });
    if (before === undefined) return undefined;
    const replayed = await tryReplay(before.own, reading, organisation, site);
    const done = await locked(ledger, organisation, site, async (tx, head, own) => {
      if (head.version !== before.version || own.book.hash !== before.own.book.hash) return undefined;
      head.version += 1;
      return conclude(tx, own, organisation, head, replayed);
    });
    if (done !== undefined) return done;
  }
  return locked(ledger, organisation, site, (tx, head, own) => {
    head.version += 1;
    return judgeWhole(tx, own, organisation, head);
  });
}

/** Fold a site in a transaction that holds its head, and bring its findings in line. */
export async function judgeWhole(
  tx: Transaction,
  ledger: Judging,
  organisation: string,
  head: SiteHead,
): Promise<Conclusion> {
  const replayed = await tryReplay(ledger, (work) => work(tx), organisation, head.site);
  return conclude(tx, ledger, organisation, head, replayed);
}

/** @returns the reason instead, if the fold fails. */
async function tryReplay(
  ledger: Judging,
  reading: Reading,
  organisation: string,
  site: string,
): Promise<Replayed | string> {
  try {
    ledger.counters.replays += 1;
    return await replay(reading, ledger, organisation, site);
  } catch (error) {
    return foldFailure(ledger, organisation, site, error);
  }
}

export interface Conclusion {
  /** Whether the fold came through; else the head says why not. */
  readonly judged: boolean;
  /** What was stored and not what the fold says. */
  readonly changes: readonly PlacedChange[];
  readonly entry?: SiteEntry;
}

async function locked(
  ledger: Ledger,
  organisation: string,
  site: string,
  work: (tx: Transaction, head: SiteHead, judging: Judging) => Promise<Conclusion | undefined>,
): Promise<Conclusion | undefined> {
  let held = false;
  let entry: SiteEntry | undefined;
  try {
    const run = async (tx: Transaction): Promise<Conclusion | undefined> => {
      const head = (await fetchHeads(tx, organisation, [site], 'write')).get(site);
      if (head === undefined) return undefined;
      const present = ledger.cache.take(organisation, site, head.version);
      held = true;
      const done = await work(tx, head, await judgingLocked(ledger, tx, organisation, [head]));
      entry = done === undefined ? present : done.entry;
      return done;
    };
    return await ledger.database.withOrganisation(organisation, run, { grows: true });
  } catch (error) {
    entry = undefined;
    throw error;
  } finally {
    if (held) ledger.cache.release(organisation, site, entry);
  }
}

async function conclude(
  tx: Transaction,
  ledger: Judging,
  organisation: string,
  head: SiteHead,
  replayed: Replayed | string,
): Promise<Conclusion> {
  const judge = judgedBy(ledger);
  if (typeof replayed === 'string') {
    head.unjudged = replayed;
    await saveHeads(tx, organisation, [head], ledger.now());
    return { judged: false, changes: [] };
  }
  const cause = head.packs_hash === judge ? 'late' : 'replay';
  const folded = await answerOf(ledger, replayed, head.swept_to, touchedSince(tx, organisation, head.site));
  const entry = entryOf(head, replayed);
  await keepCheckpoints(tx, ledger, organisation, head.site, replayed.made, replayed.overtaken);
  standAt(head, entry, folded, judge);
  const changes = await settle(tx, ledger, organisation, [{ head, folded, cause }], ledger.now());
  await saveHeads(tx, organisation, [head], ledger.now());
  return { judged: true, entry, changes };
}
