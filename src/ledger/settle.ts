import type { Transaction } from '../db/port.js';
import { type AuditRow, type Cause, chainOn } from '../findings/audit.js';
import { reconcile } from '../findings/reconcile.js';
import { fetchStored, type PlacedChange, writeChanges } from '../findings/store.js';
import type { Traces } from '../findings/traces.js';
import type { PackBook } from '../packs/book.js';
import type { Folded } from './fold-site.js';
import type { SiteHead } from './heads.js';

/** A folded site whose findings are to be brought in line with the fold. */
export interface Judged {
  readonly head: SiteHead;
  readonly folded: Folded;
  readonly cause: Cause;
}

/**
 * Make the stored findings of these sites equal to the fold, with audit rows and traces. The heads must be locked; they
 * get the new end of their chain and are saved by the caller.
 * @returns what changed, site by site.
 */
export async function settle(
  tx: Transaction,
  context: { readonly book: PackBook; readonly traces: Traces },
  organisation: string,
  judged: readonly Judged[],
  now: number,
): Promise<PlacedChange[]> {
  const ids = judged.flatMap(({ folded }) => (folded.complete ? [] : [...folded.said.keys(), ...folded.gone]));
  const whole = judged.flatMap(({ head, folded }) => (folded.complete ? [head.site] : []));
  const stored = await fetchStored(tx, organisation, ids, whole);
  const changes: PlacedChange[] = [];
  const audit: AuditRow[] = [];
  for (const { head, folded, cause } of judged) {
    const { site } = head;
    const differences = reconcile(folded.said, stored.get(site) ?? new Map(), folded.complete, folded.gone);
    const rows = chainOn({ seq: head.audit_seq, hash: head.audit_hash }, site, differences, cause, now);
    const end = rows.at(-1);
    if (end !== undefined) {
      head.audit_seq = end.seq;
      head.audit_hash = end.hash;
    }
    for (const row of rows) audit.push(row);
    for (const change of differences) {
      const traced = change.kind === 'opened' ? await context.traces.of(change.finding, context.book) : undefined;
      changes.push({ ...change, site, ...(traced === undefined ? {} : { traced }) });
    }
  }
  await context.traces.compareSilent();
  await writeChanges(tx, organisation, changes, audit, now);
  return changes;
}
