/**
 * Lines of an organisation's file into their tables, as they stand. In each: $1 organisation, $2 JSON array of lines (what
 * else is in a line is not looked at). Findings go in by `writeFindings`.
 */

/**
 * Nothing is written when the organisation is there already. What changes from now on stands in the feed behind all that
 * moves in, and behind whatever an earlier copy of the organisation may have shown since: no database makes a transaction
 * in every microsecond.
 *
 * $1 organisation, $2 name, $3 patient key, $4 created (ms), $5 position of the last change, as text, $6 now (ms).
 */
export const importOrganisationRow = `
insert into organisation (organisation, name, patient_key, created_at, feed_offset)
values ($1, $2, $3, $4::float8::bigint, greatest($5::text::bigint + 1, $6::float8::bigint * 1000))
on conflict do nothing`;

export const importAdminChanges = `
insert into admin_change (organisation, seq, at, actor, change, content, previous_hash, hash)
select $1, seq, at, actor, change, content, previous_hash, hash
from jsonb_to_recordset($2::text::jsonb)
  as l (seq bigint, at bigint, actor text, change text, content jsonb, previous_hash text, hash text)`;

/** How many there are is the organisation's to say. */
export const importPacks = `
with incoming as materialized (
  select * from jsonb_to_recordset($2::text::jsonb)
    as l (number int, pack text, version text, hash text, effective bigint, published_at bigint, published_by text, content text)
), counted as (
  update organisation set publications = (select max(number) from incoming) where organisation = $1
)
insert into pack_version (organisation, number, pack, version, hash, effective, published_at, published_by, content)
select $1, number, pack, version, hash, effective, published_at, published_by, content from incoming`;

/** A site is written again when it is judged, which follows. */
export const importSites = `
insert into site_head (organisation, site, version, last_at, last_rank, last_source, last_id, packs_hash, next_due, swept_to,
                       events, audit_seq, audit_hash, unjudged, updated_at)
select $1, site, version, last_at, last_rank, last_source, last_id, packs_hash, next_due, swept_to,
       events, audit_seq, audit_hash, unjudged, 0
from jsonb_to_recordset($2::text::jsonb)
  as l (site text, version bigint, last_at bigint, last_rank smallint, last_source text, last_id text, packs_hash text,
        next_due bigint, swept_to bigint, events bigint, audit_seq bigint, audit_hash text, unjudged text)`;

export const importEvents = `
with incoming as materialized (
  select site, at, rank, source, id, type, subject, data, received_at, hash
  from jsonb_to_recordset($2::text::jsonb)
    as l (site text, at bigint, rank smallint, source text, id text, type text, subject text, data jsonb,
          received_at bigint, hash text)
), claimed as (
  insert into event_key (organisation, source, id, site, at, hash)
  select $1, source, id, site, at, hash from incoming
)
insert into event (organisation, site, at, rank, source, id, type, subject, data, received_at)
select $1, site, at, rank, source, id, type, subject, data, received_at from incoming`;

export const importFindingChanges = `
insert into finding_change (organisation, site, seq, xid, finding, revision, change, cause, at, content, previous_hash, hash)
select $1, site, seq, xid::xid8, finding, revision, change, cause, at, content, previous_hash, hash
from jsonb_to_recordset($2::text::jsonb)
  as l (site text, seq bigint, xid text, finding text, revision int, change text, cause text, at bigint, content jsonb,
        previous_hash text, hash text)`;

/** They get numbers of this database, in the same order. */
export const importRejected = `
insert into rejected_event (organisation, received_at, source, id, site, type, faults, body)
select $1, received_at, source, id, site, type, faults, body
from jsonb_to_recordset($2::text::jsonb)
  as l (received_at bigint, source text, id text, site text, type text, faults jsonb, body jsonb)`;
