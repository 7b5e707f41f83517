import pg from 'pg';
import { arrangeMonths, partsOfLedger } from '../src/db/partitions.js';
import { openPostgresql } from '../src/db/postgresql.js';
import type { Database } from '../src/db/port.js';
import { appendEvents } from '../src/db/sql/append-events.js';
import { readLedger, readRetractions } from '../src/db/sql/read-ledger.js';
import { ownDatabase } from './places.js';

/**
 * What parting the ledger by month costs: the statements of the hot path on the same ten years of events, with the two
 * open ends alone and with a part a month. Answers are compared before a number counts.
 *
 *     DATABASE_URL=postgresql://... npm run bench:months
 */
const years = 10;
const sites = 5;
const eventsADay = 30;
const samples = 200;
const day = 86_400_000;
const now = Date.UTC(2026, 0, 1) - 1;
const first = now - years * 365 * day;
const rows = sites * years * 365 * eventsADay;

type Statement = (database: Database, round: number) => Promise<string>;
const page =
  (from: number, limit: number): Statement =>
  (database) =>
    ask(database, readLedger, 'main', 'site-1', from, -1, '', '', Number.MAX_SAFE_INTEGER, limit);
const statements: Readonly<Record<string, Statement>> = {
  'first page of a ledger, 2,000 rows': page(Number.MIN_SAFE_INTEGER, 2000),
  'page of last week, 2,000 rows': page(now - 7 * day, 2000),
  'page of last hours, 20 rows': page(now - day / 4, 20),
  'retractions of a site': (database) => ask(database, readRetractions, 'main', 'site-1'),
  'append 100 of this month': (database, round) => append(database, 'day', round, now - 2 * day, day),
  'append 100 over a year': (database, round) => append(database, 'year', round, now - 366 * day, 365 * day),
};

const server = process.env['DATABASE_URL'] ?? process.env['TEST_DATABASE_URL'];
if (server === undefined) throw new Error('Set DATABASE_URL to a server where databases may be created.');
const whole = await ownDatabase(server);
const parted = await ownDatabase(server);
try {
  await compare(whole.place.databaseUrl ?? '', parted.place.databaseUrl ?? '');
} finally {
  await whole.remove();
  await parted.remove();
}

async function compare(wholeUrl: string, partedUrl: string): Promise<void> {
  const before = await filled(wholeUrl);
  const after = await filled(partedUrl);
  const started = performance.now();
  await arrangeMonths(after, now, { mostRows: rows });
  const moved = performance.now() - started;
  await asOwner(partedUrl, 'VACUUM ANALYZE');
  const parts = (await partsOfLedger(after)).length;
  console.log(`${years} years of ${sites} sites, ${rows.toLocaleString('en')} events; medians of ${samples}, ms.\n`);
  console.log(`statement                           2 parts  ${String(parts).padStart(4)} parts   ratio`);
  for (const [name, work] of Object.entries(statements)) {
    const [two, many] = await medians(work, before, after);
    console.log(
      `${name.padEnd(34)} ${two.toFixed(2).padStart(8)} ${many.toFixed(2).padStart(11)} ${(many / two).toFixed(2).padStart(7)}`,
    );
  }
  console.log(
    `\nThe months were made, and all rows moved, in ${(moved / 1000).toFixed(1)} s; the ledger was locked for it.`,
  );
  await before.close();
  await after.close();
}

async function filled(url: string): Promise<Database> {
  const database = await openPostgresql(url, { poolSize: 1 });
  await asOwner(
    url,
    `INSERT INTO event SELECT 'main', 'site-' || s, ${first} + n * ${day / eventsADay}::bigint, 4, 'pms', s || '-' || n,
       'day.opened', NULL, '{"line": "M1", "lids": true, "levels": true, "stirred": true, "water": true}', 0
     FROM generate_series(1, ${sites}) s, generate_series(1, ${rows / sites}) n`,
  );
  await asOwner(url, 'VACUUM ANALYZE');
  return database;
}

async function asOwner(url: string, statement: string): Promise<void> {
  const owner = new pg.Client({ connectionString: url });
  await owner.connect();
  await owner.query(statement).finally(() => owner.end());
}

/** On both in turn, so that whatever else the machine does strikes both alike; the two answers must be the same. */
async function medians(work: Statement, before: Database, after: Database): Promise<[number, number]> {
  const times: [number[], number[]] = [[], []];
  // The first ones plan, prepare and warm up.
  for (let sample = -10; sample < samples; sample++) {
    const answers: string[] = [];
    for (const [side, database] of [before, after].entries()) {
      const started = performance.now();
      answers.push(await work(database, sample + 10));
      if (sample >= 0) times[side]?.push(performance.now() - started);
    }
    if (answers[0] !== answers[1]) throw new Error(`The answers differ: ${answers.join(' and ')}.`);
  }
  const [two, many] = times.map((side) => side.sort((a, b) => a - b)[samples >> 1] ?? NaN);
  return [two ?? NaN, many ?? NaN];
}

async function ask(database: Database, sql: string, ...values: unknown[]): Promise<string> {
  const rows = await database.withOrganisation('main', (tx) => tx.query<{ id?: string }>(sql, ...values));
  return `${rows.length} ${rows[0]?.id} ${rows.at(-1)?.id}`;
}

/** A batch over the sites, its instants spread over `span` ms. */
async function append(database: Database, kind: string, round: number, from: number, span: number): Promise<string> {
  const events = Array.from({ length: 100 }, (_, n) => ({
    source: `bench-${kind}`,
    id: `${String(round).padStart(5, '0')}-${String(n).padStart(3, '0')}`,
    site: `site-append-${n % sites}`,
    at: from + Math.floor((n / 100) * span),
    rank: 4,
    type: 'day.opened',
    data: { line: 'M1', lids: true, levels: true, stirred: true, water: true },
    hash: 'x'.repeat(43),
  }));
  const left = await database.withOrganisation('main', (tx) =>
    tx.query(appendEvents, 'main', JSON.stringify(events), now),
  );
  return `${left.length} refused`;
}
