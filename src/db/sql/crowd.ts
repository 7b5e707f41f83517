/**
 * What some rules have found at a site, at most: how many findings were closed, and the most that were open at once.
 * What opens and closes at one instant counts as open there.
 *
 * $1 organisation, $2 site, $3 JSON array of the rules to leave out.
 */
export const readCrowd = `
with others as materialized (
  select opened_at, closed_at
  from finding
  where organisation = $1 and site = $2 and state <> 'withdrawn'
    and not rule = any (array(select jsonb_array_elements_text($3::text::jsonb)))
), turns as (
  select opened_at as at, 1 as step from others
  union all
  select closed_at, -1 from others where closed_at is not null
), counts as (
  select sum(step) over (order by at, step desc rows unbounded preceding) as open from turns
)
select coalesce((select max(open) from counts), 0)::int as open,
       (select count(*) from others where closed_at is not null)::int as closed`;

/** Whether a range holds more than so many events: counted no farther. $1 organisation, $2 JSON array of sites, $3 first, $4 last instant (ms), $5 how many. */
export const countEvents = `
select count(*)::int as events
from (
  select 1
  from event
  where organisation = $1 and site = any (array(select jsonb_array_elements_text($2::text::jsonb)))
    and at >= $3::float8::bigint and at <= $4::float8::bigint
  limit $5::int
) as found`;
