/**
 * Sites that time alone changes: something fell due since they were last looked at, or they were judged by other packs or other code.
 * A due instant that was swept already is not due again; one at the very instant of the last event was not. One row a site and no index, so this reads the heads of one
 * organisation.
 *
 * $1 organisation, $2 now (ms), $3 what they should be judged by.
 */
export const dueSites = `
select site, (packs_hash <> $3 or unjudged is not null) as anew
from site_head
where organisation = $1 and version > 0
  and (packs_hash <> $3 or unjudged is not null
       or (next_due <= $2::float8::bigint and (next_due > swept_to or swept_to <= last_at)))
order by site`;
