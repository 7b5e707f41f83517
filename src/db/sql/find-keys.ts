/**
 * Who holds these keys. For what a batch found taken, and for the targets of retractions.
 *
 * $1 organisation, $2 JSON array of { source, id }.
 */
export const findKeys = `
select k.source, k.id, k.site, k.hash, k.at::float8 as at
from jsonb_to_recordset($2::text::jsonb) as e (source text, id text)
join event_key k on k.organisation = $1 and k.source = e.source and k.id = e.id`;
