/** Longer runs, as `npm run test:long` asks for them. */
export const long = Boolean(process.env['STEPWEDGE_LONG']);
/** A PostgreSQL server where databases may be created, if there is one. */
export const serverUrl = process.env['TEST_DATABASE_URL'] || undefined;
