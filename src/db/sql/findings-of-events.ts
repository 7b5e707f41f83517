/**
 * The findings that speak of given events: those that name the event as evidence or as what closed them. For answers
 * about duplicates. Each finding's JSON is opened once, however many events are asked about: somebody may send a whole
 * season again. A finding touched last before all of the events cannot speak of any; one opened later can, since what was
 * left undone has as evidence the event it was last done with, long before.
 *
 * $1 organisation, $2 JSON array of { source, id, site, at }.
 */
export const findingsOfEvents = `
with asked as materialized (
  select source, id, site, at from jsonb_to_recordset($2::text::jsonb) as e (source text, id text, site text, at bigint)
), named as (
  select f.id as finding, f.site, f.opened_at, ref ->> 'source' as source, ref ->> 'id' as id
  from finding f
  cross join lateral jsonb_array_elements(
    (f.detail -> 'evidence') || jsonb_build_array(coalesce(f.detail -> 'closedBy', '{}'))) as ref
  where f.organisation = $1 and f.site = any (array(select distinct site from asked)) and f.state <> 'withdrawn'
    and f.touched_at >= (select min(at) from asked)
)
select distinct a.source, a.id, n.finding, n.opened_at
from asked a join named n on n.site = a.site and n.source = a.source and n.id = a.id
order by n.opened_at, n.finding`;
