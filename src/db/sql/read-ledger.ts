/**
 * One page of a site's ledger in the order of the fold, by key and not by offset: the cost of a page does not grow with
 * its number. `at >= $3` says nothing new, but gives the planner a plain range to start the index scan at, and the months
 * to look into. The order names the table's columns: a bare `at` would be the cast of the answer, which no index is in
 * the order of, and every page would sort all the rest of the ledger.
 *
 * $1 organisation, $2 site, $3..$6 key after which to go on (at, rank, source, id), $7 last instant wanted, $8 rows.
 */
export const readLedger = `
select at::float8 as at, rank::int as rank, source, id, type, subject, data
from event
where organisation = $1 and site = $2 and at >= $3::float8::bigint and at <= $7::float8::bigint
  and (at, rank, source, id) > ($3::float8::bigint, $4::int::smallint, $5::text, $6::text)
order by event.at, event.rank, event.source, event.id
limit $8::int`;

/**
 * One row if there are more than so many events after a key; none else.
 *
 * $1 organisation, $2 site, $3..$6 key (at, rank, source, id), $7 how many.
 */
export const hasMoreEvents = `
select 1 as more
from event
where organisation = $1 and site = $2 and at >= $3::float8::bigint
  and (at, rank, source, id) > ($3::float8::bigint, $4::int::smallint, $5::text, $6::text)
order by event.at, event.rank, event.source, event.id
offset $7::int limit 1`;

/**
 * What was taken back. Read before the events: a retraction comes later in the ledger than what it takes back.
 *
 * $1 organisation, $2 site.
 */
export const readRetractions = `
select data ->> 'source' as source, data ->> 'id' as id
from event
where organisation = $1 and site = $2 and type = 'event.retracted'`;
