/**
 * All heads of a batch in one statement. Narrow rows and no index but the key, so a rewrite stays within its page.
 *
 * $1 organisation, $2 JSON array of heads with the columns' names, $3 now (ms).
 */
export const updateHeads = `
update site_head h
set version = n.version, last_at = n.last_at, last_rank = n.last_rank, last_source = n.last_source, last_id = n.last_id,
    packs_hash = n.packs_hash, next_due = n.next_due, swept_to = n.swept_to, events = n.events,
    audit_seq = n.audit_seq, audit_hash = n.audit_hash, unjudged = n.unjudged, updated_at = $3::float8::bigint
from jsonb_to_recordset($2::text::jsonb)
  as n (site text, version bigint, last_at bigint, last_rank smallint, last_source text, last_id text, packs_hash text,
        next_due bigint, swept_to bigint, events bigint, audit_seq bigint, audit_hash text, unjudged text)
where h.organisation = $1 and h.site = n.site`;
