/**
 * An organisation as its file holds it, table by table, a page at a time and by key: what is read is of one snapshot, and
 * no more of it in memory than a page. The rows are lines of the file as they come, named as their columns are.
 */

/** $1 organisation. `position`: of the last change in the feed. */
export const exportOrganisationRow = `
select name, patient_key, created_at,
       coalesce((select c.xid::text from finding_change c where c.organisation = $1 order by c.xid desc limit 1), '0') as position
from organisation where organisation = $1`;

/** $1 organisation, $2 seq after which to go on, $3 rows. */
export const exportAdminChanges = `
select seq, at, actor, change, content, previous_hash, hash
from admin_change where organisation = $1 and seq > $2::float8::bigint
order by seq limit $3::int`;

/** $1 organisation, $2 number after which to go on, $3 rows. */
export const exportPacks = `
select number, pack, version, hash, effective, published_at, published_by, content
from pack_version where organisation = $1 and number > $2::int
order by number limit $3::int`;

/** $1 organisation, $2 site after which to go on, $3 rows. */
export const exportSites = `
select site, version, last_at, last_rank, last_source, last_id, packs_hash, next_due, swept_to, events, audit_seq,
       audit_hash, unjudged
from site_head where organisation = $1 and site > $2
order by site limit $3::int`;

/**
 * In the order of the fold, with the hash that decides duplicates; looked up row by row, since a join would read all keys
 * for each page. $1 organisation, $2 site, $3..$6 key after which to go on (at, rank, source, id), $7 rows.
 */
export const exportEvents = `
select site, at, rank, source, id, type, subject, data, received_at,
       (select k.hash from event_key k where k.organisation = $1 and k.source = event.source and k.id = event.id) as hash
from event
where organisation = $1 and site = $2 and at >= $3::float8::bigint
  and (at, rank, source, id) > ($3::float8::bigint, $4::int::smallint, $5::text, $6::text)
order by at, rank, source, id limit $7::int`;

/** $1 organisation, $2 site, $3 finding after which to go on, $4 rows. */
export const exportFindings = `
select site, revision, touched_at as touched, detail, trace, evaluators_agree as agree
from finding where organisation = $1 and site = $2 and id > $3
order by id limit $4::int`;

/** $1 organisation, $2 site, $3 seq after which to go on, $4 rows. */
export const exportFindingChanges = `
select site, seq, xid::text as xid, finding, revision, change, cause, at, content, previous_hash, hash
from finding_change where organisation = $1 and site = $2 and seq > $3::float8::bigint
order by seq limit $4::int`;

/** In the order in which they were refused. $1 organisation, $2 seq after which to go on, $3 rows. */
export const exportRejected = `
select seq, received_at, source, id, site, type, faults, body
from rejected_event where organisation = $1 and seq > $2::float8::bigint
order by seq limit $3::int`;
