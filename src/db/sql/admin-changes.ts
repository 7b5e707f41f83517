/** One chain an organisation; its row is the lock that keeps two writers from forking it. $1 organisation. */
export const lockAdminChain = `select organisation from organisation where organisation = $1 for update`;

/** $1 organisation. */
export const endOfAdminChain = `
select seq, hash from admin_change where organisation = $1 order by seq desc limit 1`;

/** $1 organisation, $2 seq, $3 now (ms), $4 actor, $5 change, $6 content (JSON), $7 previous hash, $8 hash. */
export const appendAdminChange = `
insert into admin_change (organisation, seq, at, actor, change, content, previous_hash, hash)
values ($1, $2::bigint, $3::bigint, $4, $5, $6::text::jsonb, $7, $8)`;

/** $1 organisation. */
export const readAdminChain = `
select seq, at, actor, change, content, previous_hash, hash from admin_change where organisation = $1 order by seq`;
