import pg from 'pg';
import { arrangeMonths } from '../src/db/partitions.js';
import { openDatabase } from '../src/db/open.js';
import { decode } from '../src/events/decode.js';
import { createLedger } from '../src/ledger/context.js';
import { Intake } from '../src/ledger/intake.js';
import { Organisations } from '../src/ledger/organisations.js';
import type { Incoming } from '../src/ledger/results.js';
import { PackBook } from '../src/packs/book.js';
import { loadPacks } from '../src/packs/load.js';
import { configuration, ordinaryDays } from './days.js';
import { ownDatabase } from './places.js';

/**
 * What an event weighs in PostgreSQL, table by table, and what that comes to for all practices of a country.
 *
 *     DATABASE_URL=postgresql://... npm run bench:size
 */
const offices = 20;
const eventsEach = 2000;
/** About 135,000 practices, 150 events a day each, on 5 days a week and 50 weeks a year. */
const country = { practices: 135_000, eventsADay: 150, daysAYear: 250 };

/** Their size follows the number of sites, keys and organisations, not of events. */
const bounded = new Set(['checkpoint', 'site_head', 'organisation', 'api_key', 'admin_change', '_prisma_migrations']);

interface Weight {
  readonly name: string;
  readonly rows: string;
  readonly table: string;
  readonly indexes: string;
}

const weights = `
SELECT coalesce(parent.relname, c.relname) AS name, sum(greatest(c.reltuples, 0))::bigint AS rows,
       sum(pg_table_size(c.oid))::bigint AS table, sum(pg_indexes_size(c.oid))::bigint AS indexes
FROM pg_class c
LEFT JOIN pg_inherits i ON i.inhrelid = c.oid
LEFT JOIN pg_class parent ON parent.oid = i.inhparent
WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'
GROUP BY 1 HAVING sum(greatest(c.reltuples, 0)) > 0 ORDER BY sum(pg_total_relation_size(c.oid)) DESC`;

const server = process.env['DATABASE_URL'] ?? process.env['TEST_DATABASE_URL'];
if (server === undefined) throw new Error('Set DATABASE_URL to a server where databases may be created.');
const { place, remove } = await ownDatabase(server);
try {
  await measure(place.databaseUrl ?? '');
} finally {
  await remove();
}

async function measure(databaseUrl: string): Promise<void> {
  const database = await openDatabase({ databaseUrl });
  await new Organisations(database).create('main', 'Main');
  const { packs } = await loadPacks('rules');
  const intake = new Intake(createLedger({ database, book: new PackBook(packs) }));
  let events = 0;
  for (let office = 0; office < offices; office++) {
    const site = `office-${office}`;
    const sent = [configuration(site), ...ordinaryDays(site, eventsEach)].map(incoming);
    for (let at = 0; at < sent.length; at += 100) await intake.accept('main', sent.slice(at, at + 100));
    events += sent.length;
  }
  await arrangeMonths(database, Date.now());
  await database.close();

  const client = new pg.Client({ connectionString: databaseUrl });
  await client.connect();
  await client.query('VACUUM ANALYZE');
  const { rows } = await client.query<Weight>(weights);
  const version = await client.query<{ v: string }>(`SELECT current_setting('server_version') AS v`);
  await client.end();
  const ledger = rows.find(({ name }) => name === 'event');
  if (Number(ledger?.rows) !== events)
    throw new Error(`${ledger?.rows} rows in the ledger, ${events} events were sent.`);

  console.log(`PostgreSQL ${version.rows[0]?.v}; ${events} events of ${offices} offices through the whole intake.\n`);
  console.log('table                rows    bytes an event: table   indexes');
  let grows = 0;
  for (const { name, rows: count, table, indexes } of rows) {
    const [inTable, inIndexes] = [Number(table) / events, Number(indexes) / events];
    if (bounded.has(name)) {
      console.log(`${name.padEnd(18)} ${count.padStart(6)}   bounded: ${kib(Number(table) + Number(indexes))} in all`);
      continue;
    }
    grows += inTable + inIndexes;
    console.log(
      `${name.padEnd(18)} ${count.padStart(6)} ${inTable.toFixed(0).padStart(22)} ${inIndexes.toFixed(0).padStart(9)}`,
    );
  }
  const aDay = country.practices * country.eventsADay;
  const aYear = aDay * country.daysAYear;
  console.log(`\nGrows with events: ${grows.toFixed(0)} bytes each.`);
  console.log(
    `A practice: ${country.eventsADay * country.daysAYear} events, ${mib(grows * country.eventsADay * country.daysAYear)} a year.`,
  );
  console.log(
    `The country: ${millions(aDay)} events a working day, ${millions(aYear)} and ${tib(grows * aYear)} a year.`,
  );
}

function incoming(sent: unknown): Incoming {
  const decoded = decode(sent, { now: Date.now(), hashPatient: (token) => token });
  if (!decoded.ok) throw new Error(JSON.stringify(decoded.faults));
  return decoded as Incoming;
}

function kib(bytes: number): string {
  return `${Math.round(bytes / 1024).toLocaleString('en')} KiB`;
}

function mib(bytes: number): string {
  return `${(bytes / 2 ** 20).toFixed(1)} MiB`;
}

function tib(bytes: number): string {
  return `${(bytes / 2 ** 40).toFixed(1)} TiB`;
}

function millions(count: number): string {
  return `${(count / 1e6).toLocaleString('en', { maximumFractionDigits: 1 })} million`;
}
