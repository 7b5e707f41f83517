/**
 * The checkpoints of a site, newest first, without their states: few and narrow. $1 organisation, $2 site.
 */
export const listCheckpoints = `
select at::float8 as at, rank::int as rank, source, id, events::float8 as events, packs_hash
from checkpoint
where organisation = $1 and site = $2
order by at desc, rank desc, source desc, id desc`;

/** One state. $1 organisation, $2 site, $3..$6 key (at, rank, source, id). */
export const readCheckpoint = `
select state
from checkpoint
where organisation = $1 and site = $2 and at = $3::float8::bigint and rank = $4::int::smallint and source = $5 and id = $6`;

/** $1 organisation, $2 JSON array of { site, at, rank, source, id, events, packs_hash, state }. */
export const writeCheckpoints = `
insert into checkpoint (organisation, site, at, rank, source, id, events, packs_hash, state)
select $1, c.site, c.at, c.rank, c.source, c.id, c.events, c.packs_hash, c.state
from jsonb_to_recordset($2::text::jsonb)
  as c (site text, at bigint, rank smallint, source text, id text, events bigint, packs_hash text, state text)
on conflict (organisation, site, at, rank, source, id)
do update set events = excluded.events, packs_hash = excluded.packs_hash, state = excluded.state`;

/** $1 organisation, $2 JSON array of { site, at, rank, source, id }. */
export const dropCheckpoints = `
delete from checkpoint c
using jsonb_to_recordset($2::text::jsonb) as d (site text, at bigint, rank smallint, source text, id text)
where c.organisation = $1 and c.site = d.site and c.at = d.at and c.rank = d.rank and c.source = d.source and c.id = d.id`;

/** So many more events are folded into these checkpoints. $1 organisation, $2 site, $3..$6 key of the first of them, $7 how many. */
export const raiseCheckpoints = `
update checkpoint
set events = events + $7::int
where organisation = $1 and site = $2
  and (at, rank, source, id) >= ($3::float8::bigint, $4::int::smallint, $5::text, $6::text)`;

/**
 * Findings of a site that were touched at or after an instant of the fold, and not withdrawn since.
 * $1 organisation, $2 site, $3 the instant (ms).
 */
export const findingsTouchedSince = `
select id, touched_at::float8 as touched
from finding
where organisation = $1 and site = $2 and touched_at >= $3::float8::bigint and state <> 'withdrawn'`;
