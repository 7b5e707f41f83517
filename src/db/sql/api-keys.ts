const columns = 'id, organisation, name, secret_hash, scopes, sites, sources, created_at, revoked_at';

/** A key by its id, revoked or not. $1 organisation, $2 id. */
export const findKey = `select ${columns} from api_key where organisation = $1 and id = $2`;

/** $1 organisation. */
export const listKeys = `select ${columns} from api_key where organisation = $1 order by created_at, id`;

/** $1 organisation, $2 id, $3 name, $4 hash of the secret, $5 scopes, $6 sites, $7 senders (null: all), $8 now (ms). */
export const insertKey = `
insert into api_key (organisation, id, name, secret_hash, scopes, sites, sources, created_at)
values ($1, $2, $3, $4, $5::text[], $6::text[], $7::text[], $8::bigint)`;

/** Keys are never deleted: the audit trail names them. $1 organisation, $2 id, $3 now (ms). */
export const revokeKey = `
update api_key set revoked_at = $3::bigint where organisation = $1 and id = $2 and revoked_at is null`;
