import { canonicalJson } from '../../src/canonical-json.js';
import type { Database } from '../../src/db/port.js';
import type { Finding } from '../../src/engine/finding.js';
import { Organisations } from '../../src/ledger/organisations.js';
import { foldSite } from '../../src/trials/fold-site.js';
import type { PackBook } from '../../src/packs/book.js';
import type { AnyEvent } from '../../src/events/event.js';

let counter = 0;

/** A fresh organisation in the database of the suite. */
export async function organisationIn(database: Database): Promise<string> {
  const organisation = `org-${process.pid}-${++counter}`;
  await new Organisations(database).create(organisation, organisation);
  return organisation;
}

export interface StoredRow {
  readonly id: string;
  readonly state: string;
  readonly revision: number;
  readonly detail: Finding;
  readonly trace: unknown;
  readonly agree: boolean | null;
}

export async function storedFindings(database: Database, organisation: string, site: string): Promise<StoredRow[]> {
  return database.withOrganisation(organisation, (tx) =>
    tx.query<StoredRow>(
      `select id, state, revision, detail, trace, evaluators_agree as agree
       from finding where organisation = $1 and site = $2 order by opened_at, id`,
      organisation,
      site,
    ),
  );
}

export async function headOf(
  database: Database,
  organisation: string,
  site: string,
): Promise<{
  swept_to: number;
  last_at: number;
  next_due: number | null;
  version: number;
  unjudged: string | null;
  events: number;
}> {
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<Awaited<ReturnType<typeof headOf>>>(
      'select swept_to, last_at, next_due, version, unjudged, events from site_head where organisation = $1 and site = $2',
      organisation,
      site,
    ),
  );
  const head = rows[0];
  if (head === undefined) throw new Error(`no head of ${site}`);
  return head;
}

/** What stands of the stored findings, as text; and what a fold of these events from the start says. */
export async function standing(database: Database, organisation: string, site: string): Promise<string[]> {
  const rows = await storedFindings(database, organisation, site);
  return rows
    .filter(({ state }) => state !== 'withdrawn')
    .map(({ detail }) => canonicalJson(detail))
    .sort();
}

export function expected(events: readonly AnyEvent[], book: PackBook, sweptTo: number): string[] {
  const bare = foldSite(events, book);
  const until = bare.state.last !== null && sweptTo > bare.state.at ? sweptTo : undefined;
  const { findings } = until === undefined ? bare : foldSite(events, book, until);
  return [...findings.values()].map((finding) => canonicalJson(finding)).sort();
}
