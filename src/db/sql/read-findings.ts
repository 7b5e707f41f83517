const columns = 'id, site, state, revision, detail';

/** Stored findings by id, to compare with what the fold says now. $1 organisation, $2 JSON array of ids. */
export const readFindings = `
select ${columns}
from finding
where organisation = $1 and id = any (array(select jsonb_array_elements_text($2::text::jsonb)))`;

/** All that was ever found at some sites: what a replay is compared with. $1 organisation, $2 JSON array of sites. */
export const readFindingsOfSites = `
select ${columns}
from finding
where organisation = $1 and site = any (array(select jsonb_array_elements_text($2::text::jsonb)))`;
