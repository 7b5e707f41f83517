import type { PlacedChange } from '../findings/store.js';
import type { Background } from './background.js';
import { checkpointsOf, startingPoint } from './checkpoints.js';
import type { Ledger } from './context.js';
import { fetchHeads } from './heads.js';
import { judgedBy } from './judged-by.js';
import { judging } from './judging.js';
import { rejudge } from './rejudge.js';
import { sitesJudgedOtherwise } from '../db/sql/publications.js';

export interface Rejudged {
  /** Sites that were judged by other packs. */
  readonly sites: number;
  /** Of them, those left to the background: long ledgers, and what comes after the caller's patience. */
  readonly pending: readonly string[];
  readonly changes: readonly PlacedChange[];
}

/**
 * Bring every site of an organisation in line with its present book, one after another: from the newest checkpoint that
 * still stands, so that a pack which begins now costs little and a back-dated one what it changes.
 * @param patience ms for which the caller waits; what is left then is done in the background.
 */
export async function rejudgeAll(
  ledger: Ledger,
  background: Background,
  organisation: string,
  patience: number,
): Promise<Rejudged> {
  const sites = await ledger.database.withOrganisation(organisation, async (tx) => {
    const judge = judgedBy(await judging(ledger, tx, organisation));
    return tx.query<{ site: string }>(sitesJudgedOtherwise, organisation, judge);
  });
  const until = performance.now() + patience;
  const pending: string[] = [];
  const changes: PlacedChange[] = [];
  for (const { site } of sites) {
    const isShort = performance.now() < until && !(await isLong(ledger, organisation, site));
    const done = isShort ? await rejudge(ledger, organisation, site) : undefined;
    if (done?.judged === true) changes.push(...done.changes);
    else {
      pending.push(site);
      background.request(organisation, site);
    }
  }
  return { sites: sites.length, pending, changes };
}

/** Whether a site has more events to fold than anybody should wait for (law L23). */
async function isLong(ledger: Ledger, organisation: string, site: string): Promise<boolean> {
  return ledger.database.withOrganisation(organisation, async (tx) => {
    const head = (await fetchHeads(tx, organisation, [site], 'none')).get(site);
    if (head === undefined) return false;
    const own = await judging(ledger, tx, organisation, head.publications);
    const start = startingPoint(await checkpointsOf((work) => work(tx), organisation, site), own);
    return head.events - (start?.events ?? 0) > ledger.replayInline;
  });
}
