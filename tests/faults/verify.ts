import { canonicalJson } from '../../src/canonical-json.js';
import type { Database } from '../../src/db/port.js';
import { step, createState } from '../../src/engine/fold.js';
import { compareKeys, type OrderKey } from '../../src/events/order.js';
import { verifyAudit } from '../../src/findings/audit.js';
import { verifyAdminAudit } from '../../src/ledger/admin-audit.js';
import { engineFold } from '../../src/ledger/fold.js';
import { judgedUpTo } from '../../src/ledger/judged-by.js';
import { keyOf } from '../../src/ledger/read.js';
import type { PackBook } from '../../src/packs/book.js';
import { effective } from '../../src/trials/fold-site.js';
import { expected, headOf, standing } from '../ledger/stored.js';
import type { Load } from './load.js';
import type { Senders } from './senders.js';

/** What was found at the end of a run; `faults` must be empty, the rest shows that something was looked at. */
export interface Verdict {
  readonly faults: readonly string[];
  readonly events: number;
  readonly findings: number;
  readonly changes: number;
  readonly sweepChanges: number;
  readonly replayChanges: number;
  readonly checkpoints: number;
}

const organisation = 'main';

/**
 * Holds everything stored against the model: what was sent and answered, folded from the start by the present packs.
 * @param aside a site whose events nobody kept count of.
 */
export async function verify(
  database: Database,
  book: PackBook,
  load: Load,
  senders: Senders,
  aside = '',
): Promise<Verdict> {
  const faults: string[] = [];
  const read = <Row>(sql: string, ...values: unknown[]) =>
    database.withOrganisation(organisation, (tx) => tx.query<Row>(sql, organisation, ...values));

  // Every event that was answered is there, once, as it was sent; and nothing else is.
  const keys = await read<{ source: string; id: string; site: string; hash: string; rows: number }>(
    `select k.source, k.id, k.site, k.hash,
            (select count(*) from event e where e.organisation = k.organisation and e.source = k.source and e.id = k.id
               and e.site = k.site)::int as rows
     from event_key k where k.organisation = $1`,
  );
  const stored = new Map(keys.map((key) => [keyOf(key), key]));
  const [{ total = 0 } = {}] = await read<{ total: number }>(
    'select count(*)::int as total from event where organisation = $1',
  );
  if (total !== keys.length) faults.push(`${total} events in the ledger, ${keys.length} keys`);
  for (const [key, { event, hash }] of load.events) {
    const accepted = senders.accepted.get(key) ?? 0;
    const known = senders.known.get(key) ?? 0;
    const row = stored.get(key);
    const name = `${event.source} ${event.id}`;
    if (accepted > 1) faults.push(`${name} was accepted ${accepted} times`);
    if (accepted + known === 0) faults.push(`${name} was never answered`);
    if (row === undefined) faults.push(`${name} is lost`);
    else if (row.rows !== 1 || row.hash !== hash || row.site !== event.site) {
      faults.push(`${name} is there ${row.rows} times, ${row.hash === hash ? 'as it was sent' : 'changed'}`);
    }
  }
  for (const key of stored.keys())
    if (!load.events.has(key) && stored.get(key)?.site !== aside) faults.push(`${key} was never sent`);

  let checkpoints = 0;
  let findings = 0;
  for (const site of load.sites) {
    const events = [...load.events.values()].map(({ event }) => event).filter((event) => event.site === site);
    const head = await headOf(database, organisation, site);
    if (head.unjudged !== null) faults.push(`${site} is unjudged: ${head.unjudged}`);
    if (head.events !== events.length) faults.push(`the head of ${site} counts ${head.events} of ${events.length}`);
    const stands = await standing(database, organisation, site);
    findings += stands.length;
    if (canonicalJson(stands) !== canonicalJson(expected(events, book, head.swept_to))) {
      faults.push(`the findings of ${site} are not those of the fold`);
    }
    const audit = await verifyAudit(database, organisation, site);
    if (!audit.intact) faults.push(`the audit chain of ${site} is broken: ${JSON.stringify(audit)}`);
    const points = await read<OrderKey & { events: number; packs_hash: string; state: string }>(
      `select at::float8 as at, rank::int as rank, source, id, events::float8 as events, packs_hash, state
       from checkpoint where organisation = $1 and site = $2`,
      site,
    );
    for (const point of points) {
      // Judged by packs that are in force no more: nobody starts from it.
      if (point.packs_hash !== judgedUpTo({ fold: engineFold, book }, point.at)) continue;
      checkpoints += 1;
      const state = createState();
      const folded = effective(events).filter((event) => compareKeys(event, point) <= 0);
      for (const event of folded) step(state, event, book);
      if (point.events !== folded.length) {
        faults.push(`a checkpoint of ${site} counts ${point.events} events of ${folded.length}`);
      }
      if (canonicalJson(JSON.parse(point.state)) !== canonicalJson(state)) {
        faults.push(`a checkpoint of ${site} is not the fold up to it`);
      }
    }
  }
  const admin = await verifyAdminAudit(database, organisation);
  if (!admin.intact) faults.push('the audit chain of administration is broken');

  // Revisions count up without a gap, no finding opens twice, and the last row says how the finding stands.
  const changes = await read<{
    site: string;
    finding: string;
    revision: number;
    change: string;
    cause: string;
    content: unknown;
  }>(
    'select site, finding, revision, change, cause, content from finding_change where organisation = $1 order by site, seq',
  );
  const last = new Map<string, (typeof changes)[number]>();
  for (const row of changes) {
    const key = `${row.site} ${row.finding}`;
    const before = last.get(key);
    if (row.revision !== (before?.revision ?? 0) + 1)
      faults.push(`${key} goes from ${before?.revision} to ${row.revision}`);
    if ((row.change === 'opened') !== (before === undefined))
      faults.push(`${key} is ${row.change} at revision ${row.revision}`);
    last.set(key, row);
  }
  const rows = await read<{ site: string; id: string; revision: number; state: string; detail: object }>(
    'select site, id, revision, state, detail from finding where organisation = $1',
  );
  if (rows.length !== last.size) faults.push(`${rows.length} findings, ${last.size} in the trail`);
  for (const { site, id, revision, detail } of rows) {
    const end = last.get(`${site} ${id}`);
    if (end?.revision !== revision || canonicalJson(end.content) !== canonicalJson(detail)) {
      faults.push(`${site} ${id} is not what the trail says last`);
    }
  }
  const by = (cause: string) => changes.filter((row) => row.cause === cause).length;
  return {
    faults,
    events: total,
    findings,
    changes: changes.length,
    sweepChanges: by('sweep'),
    replayChanges: by('replay'),
    checkpoints,
  };
}
