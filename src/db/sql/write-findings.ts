/**
 * New and changed findings of a batch in one statement. The columns repeat what lists are filtered and ordered by; the
 * whole finding stands in `detail`, so the columns are taken from it and cannot say anything else.
 *
 * $1 organisation, $2 JSON array of { site, revision, touched, detail, trace, agree }; a trace once stored is kept.
 */
export const writeFindings = `
insert into finding (organisation, site, id, rule, pack, pack_version, kind, topic, line, tube, severity, state, opened_at,
                     due_at, announce_at, closed_at, revision, touched_at, message, detail, trace, evaluators_agree)
select $1, f.site, d ->> 'id', d ->> 'rule', d ->> 'pack', d ->> 'packVersion', d ->> 'kind', d ->> 'topic', d ->> 'line',
       d ->> 'tube', d ->> 'severity', d ->> 'state', (d ->> 'openedAt')::bigint, (d ->> 'dueAt')::bigint,
       (d ->> 'announceAt')::bigint, (d ->> 'closedAt')::bigint, f.revision, f.touched, d ->> 'message', d, f.trace, f.agree
from jsonb_to_recordset($2::text::jsonb)
  as f (site text, revision int, touched bigint, detail jsonb, trace jsonb, agree boolean)
cross join lateral (select f.detail as d) as x
on conflict (organisation, site, id) do update
set pack_version = excluded.pack_version, severity = excluded.severity, state = excluded.state,
    opened_at = excluded.opened_at, due_at = excluded.due_at, announce_at = excluded.announce_at,
    closed_at = excluded.closed_at, revision = excluded.revision, touched_at = excluded.touched_at,
    message = excluded.message, detail = excluded.detail, line = excluded.line, tube = excluded.tube,
    trace = coalesce(excluded.trace, finding.trace),
    evaluators_agree = coalesce(excluded.evaluators_agree, finding.evaluators_agree)`;
