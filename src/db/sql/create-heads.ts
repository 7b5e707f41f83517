/**
 * A site begins with its first configuration. Somebody else may be creating the same one: then theirs stands, and the
 * lock that follows waits for it.
 *
 * $1 organisation, $2 JSON array of site ids in ascending order, $3 now (ms), $4 hash of the packs.
 */
export const createHeads = `
insert into site_head (organisation, site, updated_at, packs_hash)
select $1, site, $3::float8::bigint, $4 from jsonb_array_elements_text($2::text::jsonb) as site
on conflict do nothing`;
