/**
 * The audit rows of a batch; the chain of hashes was computed by the writer, who holds the lock on the site's head. Their
 * place in the feed is that of the transaction, moved by the organisation's offset (see the migration `moves`).
 *
 * $1 organisation, $2 JSON array of { site, seq, finding, revision, change, cause, content, previous_hash, hash },
 * $3 now (ms).
 */
export const appendChanges = `
insert into finding_change (organisation, site, seq, xid, finding, revision, change, cause, at, content, previous_hash, hash)
select $1, c.site, c.seq,
       (select (pg_current_xact_id()::text::bigint + feed_offset)::text::xid8 from organisation where organisation = $1),
       c.finding, c.revision, c.change, c.cause, $3::float8::bigint, c.content, c.previous_hash, c.hash
from jsonb_to_recordset($2::text::jsonb)
  as c (site text, seq bigint, finding text, revision int, change text, cause text, content jsonb, previous_hash text,
        hash text)`;
