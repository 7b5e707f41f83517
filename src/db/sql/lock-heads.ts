/**
 * Locks the heads of the sites that a batch writes to, in the order of their ids: two transactions that share sites
 * queue up behind each other instead of deadlocking. Instants come back as float8 because a bigint would reach
 * JavaScript as BigInt; milliseconds stay exact far below 2^53. `publications` tells whether the book at hand is still the last.
 *
 * $1 organisation, $2 JSON array of site ids.
 */
export const lockHeads = `
select site, version::float8 as version, last_at::float8 as last_at, last_rank::int as last_rank, last_source, last_id,
       packs_hash, next_due::float8 as next_due, swept_to::float8 as swept_to, events::float8 as events,
       audit_seq::float8 as audit_seq, audit_hash, unjudged,
       (select o.publications from organisation o where o.organisation = $1) as publications
from site_head
where organisation = $1 and site = any (array(select jsonb_array_elements_text($2::text::jsonb)))
order by site
for update of site_head`;

/** The same without waiting and without the lock: for readers. */
export const readHeads = lockHeads.replace(/\nfor update of site_head$/, '');

/**
 * One head for the sweeper: a site that somebody else is writing to is left to the next sweep, so several processes
 * share the work and none does it twice.
 */
export const lockHeadUnlessBusy = `${lockHeads} skip locked`;

/** A reader that must see one ledger through several pages keeps writers out for that long, but not other readers. */
export const lockHeadsForReading = lockHeads.replace(/for update of site_head$/, 'for share of site_head');
