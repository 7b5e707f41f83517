import type { Database } from '../db/port.js';

/** Where an event is looked for. */
export interface EventPlace {
  readonly site: string;
  readonly source: string;
  readonly id: string;
}

/** How a site was configured at one instant. */
export interface StandingConfigurations {
  /** What was not taken back, in the order of the fold: the last one is in force. */
  readonly standing: readonly { readonly source: string; readonly id: string; readonly hash: string }[];
  /** How many events of each sender have configured the site at that instant, taken back or not. */
  readonly sent: ReadonlyMap<string, number>;
}

/** @param at ms. */
export async function configurationsAt(
  database: Database,
  organisation: string,
  site: string,
  at: number,
): Promise<StandingConfigurations> {
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<{ source: string; id: string; hash: string; retracted: boolean }>(
      `select e.source, e.id, k.hash, exists (
         select 1 from event r
         where r.organisation = e.organisation and r.site = e.site and r.type = 'event.retracted'
           and r.data ->> 'source' = e.source and r.data ->> 'id' = e.id) as retracted
       from event e join event_key k on k.organisation = e.organisation and k.source = e.source and k.id = e.id
       where e.organisation = $1 and e.site = $2 and e.at = $3::float8::bigint and e.rank = 0
         and e.type = 'site.configured'
       order by e.source, e.id`,
      organisation,
      site,
      at,
    ),
  );
  const sent = new Map<string, number>();
  for (const { source } of rows) sent.set(source, (sent.get(source) ?? 0) + 1);
  return { standing: rows.filter(({ retracted }) => !retracted), sent };
}

/** Those of the events that are in the ledger, with their types. */
export async function findEvents(
  database: Database,
  organisation: string,
  places: readonly EventPlace[],
): Promise<(EventPlace & { readonly type: string })[]> {
  return database.withOrganisation(organisation, (tx) =>
    tx.query<EventPlace & { readonly type: string }>(
      `select e.site, e.source, e.id, e.type
       from jsonb_to_recordset($2::text::jsonb) as p (site text, source text, id text)
       join event_key k on k.organisation = $1 and k.source = p.source and k.id = p.id and k.site = p.site
       join event e on e.organisation = $1 and e.site = k.site and e.at = k.at and e.source = k.source and e.id = k.id`,
      organisation,
      JSON.stringify(places),
    ),
  );
}
