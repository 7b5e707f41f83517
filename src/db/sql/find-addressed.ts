/**
 * Which of these words about findings have a finding to attach to: the one they name, if it was open by then, or one of
 * the rule and topic that covers the instant.
 *
 * $1 organisation, $2 JSON array of { index, site, at, finding, rule, topic, instant }; instants in ms.
 */
export const findAddressed = `
with asked as materialized (
  select * from jsonb_to_recordset($2::text::jsonb)
    as a (index int, site text, at bigint, finding text, rule text, topic text, instant bigint)
)
select a.index from asked a join finding f
  on f.organisation = $1 and f.site = a.site and f.id = a.finding and f.opened_at <= a.at and f.state <> 'withdrawn'
union
select a.index from asked a join finding f
  on f.organisation = $1 and f.site = a.site and f.rule = a.rule and f.topic = a.topic
  and f.opened_at <= least(a.instant, a.at) and coalesce(f.closed_at, a.instant) >= a.instant and f.state <> 'withdrawn'`;
