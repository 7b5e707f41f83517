/** $1 organisation. */
export const countPublications = `select publications from organisation where organisation = $1`;

const columns = `number, pack, version, hash, effective::float8 as effective, published_at::float8 as published_at, published_by`;

/** In the order in which they were published. $1 organisation, $2 number after which to go on. */
export const readPublications = `
select ${columns}, content from pack_version
where organisation = $1 and number > $2::int
order by number`;

/** The same without the texts, of one pack. $1 organisation, $2 pack. */
export const listPublications = `
select ${columns} from pack_version
where organisation = $1 and pack = $2
order by number`;

/** One with its text. $1 organisation, $2 number. */
export const readPublication = `select ${columns}, content from pack_version where organisation = $1 and number = $2::int`;

/** Sites whose stored findings are by another book. $1 organisation, $2 what they should be judged by. */
export const sitesJudgedOtherwise = `
select site from site_head where organisation = $1 and version > 0 and packs_hash <> $2 order by site`;

/** $1 organisation, $2 number, $3 pack, $4 version, $5 hash, $6 effective (ms), $7 now (ms), $8 by, $9 text. */
export const appendPublication = `
insert into pack_version (organisation, number, pack, version, hash, effective, published_at, published_by, content)
values ($1, $2::int, $3, $4, $5, $6::float8::bigint, $7::float8::bigint, $8, $9)`;

/** $1 organisation, $2 how many there are now. */
export const raisePublications = `update organisation set publications = $2::int where organisation = $1`;
