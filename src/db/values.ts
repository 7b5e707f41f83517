import pg from 'pg';

const int8 = 20;
const numeric = 1700;
const int8Array = 1016;

/**
 * How raw rows are read: as node-postgres does, but bigint and numeric as numbers. Instants, counters and sums are exact
 * in a double up to 2^53; a bigint beyond it is refused rather than rounded.
 */
export const rowTypes: pg.CustomTypesConfig = {
  getTypeParser: (oid, format) =>
    (format === 'binary' ? undefined : parsers.get(oid)) ?? pg.types.getTypeParser(oid, format),
};

const elements: (text: string) => unknown[] = pg.types.getTypeParser(Number(int8Array), 'text');

const parsers = new Map<number, (text: string) => unknown>([
  [int8, integer],
  [numeric, Number],
  [int8Array, (text) => elements(text).map((value) => (value === null ? null : integer(String(value))))],
]);

function integer(text: string): number {
  const value = Number(text);
  if (!Number.isSafeInteger(value))
    throw new RangeError(`The database holds ${text}, beyond what a number carries exactly.`);
  return value;
}
