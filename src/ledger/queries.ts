import { Conditions, type Page, pageOf, type Paging, readCursor } from '../db/cursor.js';
import type { Database } from '../db/port.js';
import type { EventFault } from './results.js';

/** Absent: not filtered. `sites`: those that may be seen. Instants in ms, [from, to). */
export interface EventFilter {
  readonly sites?: readonly string[] | undefined;
  readonly type?: string | undefined;
  readonly source?: string | undefined;
  readonly from?: number | undefined;
  readonly to?: number | undefined;
}

export interface StoredEvent {
  readonly source: string;
  readonly id: string;
  readonly type: string;
  readonly site: string;
  readonly at: number;
  readonly subject: string | null;
  readonly data: unknown;
  readonly receivedAt: number;
}

export interface RejectedEvent {
  readonly source: string | null;
  readonly id: string | null;
  readonly site: string | null;
  readonly type: string | null;
  readonly receivedAt: number;
  readonly faults: readonly EventFault[];
}

export interface SiteRow {
  readonly id: string;
  readonly events: number;
  readonly lastEventAt: number | null;
  readonly unjudged: string | null;
}

/** Accepted events, site by site, each in the order of the fold. */
export async function listEvents(
  database: Database,
  organisation: string,
  filter: EventFilter,
  paging: Paging,
): Promise<Page<StoredEvent>> {
  const where = new Conditions(organisation)
    .among('site', filter.sites)
    .add('type = ?', filter.type)
    .add('source = ?', filter.source)
    .add('at >= ?::bigint', filter.from)
    .add('at < ?::bigint', filter.to);
  if (paging.cursor !== undefined) {
    const key = readCursor(paging.cursor, ['string', 'number', 'number', 'string', 'string']);
    where.add('(site, at, rank, source, id) > (?, ?::bigint, ?::bigint, ?, ?)', ...key);
  }
  const limit = where.bind(paging.limit + 1);
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<StoredEvent & { readonly rank: number }>(
      `select source, id, type, site, at, rank, subject, data, received_at as "receivedAt"
       from event where ${where.text} order by site, at, rank, source, id limit ${limit}`,
      ...where.values,
    ),
  );
  return pageOf(
    rows,
    paging.limit,
    ({ rank: _, ...event }) => event,
    ({ site, at, rank, source, id }) => [site, at, rank, source, id],
  );
}

/** Refused events, latest first. */
export async function listRejected(
  database: Database,
  organisation: string,
  filter: Omit<EventFilter, 'type'>,
  paging: Paging,
): Promise<Page<RejectedEvent>> {
  const where = new Conditions(organisation)
    .among('site', filter.sites)
    .add('source = ?', filter.source)
    .add('received_at >= ?::bigint', filter.from)
    .add('received_at < ?::bigint', filter.to);
  if (paging.cursor !== undefined) where.add('seq < ?::bigint', ...readCursor(paging.cursor, ['number']));
  const limit = where.bind(paging.limit + 1);
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<RejectedEvent & { readonly seq: number }>(
      `select seq, source, id, site, type, received_at as "receivedAt", faults
       from rejected_event where ${where.text} order by seq desc limit ${limit}`,
      ...where.values,
    ),
  );
  return pageOf(
    rows,
    paging.limit,
    ({ seq: _, ...rejected }) => rejected,
    ({ seq }) => [seq],
  );
}

const siteColumns = 'site as id, events, last_at as "lastEventAt", unjudged';

/** Sites in order of their ids. */
export async function listSites(
  database: Database,
  organisation: string,
  sites: readonly string[] | undefined,
  paging: Paging,
): Promise<Page<SiteRow>> {
  const where = new Conditions(organisation).among('site', sites);
  if (paging.cursor !== undefined) where.add('site > ?', ...readCursor(paging.cursor, ['string']));
  const limit = where.bind(paging.limit + 1);
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<SiteRow>(
      `select ${siteColumns} from site_head where ${where.text} order by site limit ${limit}`,
      ...where.values,
    ),
  );
  return pageOf(
    rows,
    paging.limit,
    (site) => site,
    ({ id }) => [id],
  );
}

export async function oneSite(database: Database, organisation: string, site: string): Promise<SiteRow | null> {
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<SiteRow>(`select ${siteColumns} from site_head where organisation = $1 and site = $2`, organisation, site),
  );
  return rows[0] ?? null;
}

/** Sites whose latest events are not judged, in all organisations, for health. */
export async function unjudgedSites(
  database: Database,
): Promise<{ readonly organisation: string; readonly site: string; readonly reason: string }[]> {
  const all: { organisation: string; site: string; reason: string }[] = [];
  for (const organisation of await database.organisations()) {
    const rows = await database.withOrganisation(organisation, (tx) =>
      tx.query<{ site: string; reason: string }>(
        'select site, unjudged as reason from site_head where organisation = $1 and unjudged is not null order by site',
        organisation,
      ),
    );
    for (const row of rows) all.push({ organisation, ...row });
  }
  return all;
}
