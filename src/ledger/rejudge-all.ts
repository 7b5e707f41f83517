import type { PlacedChange } from '../findings/store.js';
import type { Background } from './background.js';
import type { Ledger } from './context.js';
import { judgedBy } from './judged-by.js';
import { judging } from './judging.js';
import { rejudge } from './rejudge.js';
import { sitesJudgedOtherwise } from '../db/sql/publications.js';

export interface Rejudged {
  /** Sites that were judged by other packs. */
  readonly sites: number;
  /** Of them, those left to the background. */
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
    const done = performance.now() < until ? await rejudge(ledger, organisation, site) : undefined;
    if (done?.judged === true) changes.push(...done.changes);
    else {
      pending.push(site);
      background.request(organisation, site);
    }
  }
  return { sites: sites.length, pending, changes };
}
