/**
 * The sites of an organisation with their first event (ms) and every jurisdiction that they were ever in. Looks through
 * the whole ledger of the organisation. $1 organisation.
 */
export const sitesOfRecord = `
select h.site, oldest.at::float8 as since,
       coalesce((select array_agg(distinct j.name order by j.name)
                 from event e cross join lateral jsonb_array_elements_text(e.data -> 'jurisdictions') as j (name)
                 where e.organisation = $1 and e.site = h.site and e.type = 'site.configured'), '{}') as jurisdictions
from site_head h
cross join lateral (
  select e.at from event e where e.organisation = $1 and e.site = h.site order by e.at limit 1
) as oldest
where h.organisation = $1
order by h.site`;
