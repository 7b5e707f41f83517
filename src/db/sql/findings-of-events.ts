/**
 * The findings that speak of given events: those that name the event as evidence or as what closed them. For answers
 * about duplicates. The instants narrow the search to findings that were not over before the event, before the JSON is opened;
 * not to those opened by then: what was left undone is evidence by the event it was last done with, long before.
 *
 * $1 organisation, $2 JSON array of { source, id, site, at }.
 */
export const findingsOfEvents = `
select e.source, e.id, f.id as finding
from jsonb_to_recordset($2::text::jsonb) as e (source text, id text, site text, at bigint)
join finding f on f.organisation = $1 and f.site = e.site and f.state <> 'withdrawn'
  and f.touched_at >= e.at and (f.closed_at is null or f.closed_at >= e.at)
where f.detail -> 'evidence' @> jsonb_build_array(jsonb_build_object('source', e.source, 'id', e.id))
   or f.detail -> 'closedBy' @> jsonb_build_object('source', e.source, 'id', e.id)
order by f.opened_at, f.id`;
