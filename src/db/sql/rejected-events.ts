/**
 * What was refused: the envelope and the faults, never the data, which may hold what should not be kept.
 *
 * $1 organisation, $2 JSON array of { source, id, site, type, faults }, $3 now (ms).
 */
export const recordRejected = `
insert into rejected_event (organisation, received_at, source, id, site, type, faults)
select $1, $3::float8::bigint, r.source, r.id, r.site, r.type, r.faults
from jsonb_to_recordset($2::text::jsonb) as r (source text, id text, site text, type text, faults jsonb)`;

/** $1 organisation, $2 the instant (ms) before which they are forgotten. */
export const forgetRejected = `delete from rejected_event where organisation = $1 and received_at < $2::float8::bigint`;
