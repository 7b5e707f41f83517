/**
 * Causes that people confirmed, by finding, of the sites of one organisation; withdrawn findings teach nothing.
 * $1 organisation. Read once a night: a scan of the findings, without an index of its own.
 */
export const confirmedCauses = `
select site, id as finding, detail -> 'taught' ->> 'cause' as cause, (detail -> 'taught' ->> 'at')::double precision as at
from finding
where organisation = $1 and detail ? 'taught' and state <> 'withdrawn'
order by site, id`;
