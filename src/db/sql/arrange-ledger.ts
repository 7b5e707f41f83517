/**
 * Months of the ledger get their own parts; the function, its rights and its limits stand in the migration that made it.
 *
 * $1 oldest instant (ms) whose month is made for rows that lie before all months, $2 instant up to whose month there
 * must be parts, $3 rows that may move at most.
 */
export const arrangeLedger = `
select arrange_ledger($1::float8::bigint, $2::float8::bigint, $3::float8::bigint) as made`;

/** The parts of the ledger with their bounds as PostgreSQL writes them, in order of time. */
export const ledgerParts = `
select c.relname as name, pg_get_expr(c.relpartbound, c.oid) as bounds
from pg_inherits i join pg_class c on c.oid = i.inhrelid
where i.inhparent = 'event'::regclass
order by c.relname = 'event_late', c.relname <> 'event_early', c.relname`;
