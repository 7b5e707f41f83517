import { mkdtemp, rm } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { openDatabase } from '../src/db/open.js';
import type { Database } from '../src/db/port.js';
import { decode } from '../src/events/decode.js';
import { createLedger } from '../src/ledger/context.js';
import { Intake } from '../src/ledger/intake.js';
import { Organisations } from '../src/ledger/organisations.js';
import type { Incoming } from '../src/ledger/results.js';
import { PackBook } from '../src/packs/book.js';
import { loadPacks } from '../src/packs/load.js';
import { foldSite } from '../src/trials/fold-site.js';
import { configuration, ordinaryDays, type SentEvent } from './days.js';

/**
 * What a late event costs against the age of its site: years of events, then bath readings that come an hour, a day and
 * a month late. Checks that the stored findings equal the fold of the whole ledger before a number counts.
 *
 *     npm run bench:late                    the embedded database; PostgreSQL with DATABASE_URL
 */
const years = [1, 2, 5, 10];
const eventsAYear = 8760;
const lateness = { 'an hour': 3_600_000, 'a day': 86_400_000, 'a month': 30 * 86_400_000 };
const samples = 15;

const { packs } = await loadPacks('rules');
const book = new PackBook(packs);
const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-late-'));
const databaseUrl = process.env['DATABASE_URL'];
const database = await openDatabase(databaseUrl === undefined ? { dataDir: folder } : { databaseUrl });
const organisation = `late-${process.pid}`;
await new Organisations(database).create(organisation, 'Late events');

console.log(
  `${os.availableParallelism()} cores, Node ${process.version}, ${database.kind} database; medians of ${samples}.\n`,
);
console.log('years  events  checkpoints   late by    events read      ms');
for (const age of years) await measure(age);
await database.close();
await rm(folder, { recursive: true, force: true });

async function measure(age: number): Promise<void> {
  const site = `age-${age}`;
  const ledger = createLedger({ database, book });
  const intake = new Intake(ledger);
  const sent = [configuration(site), ...ordinaryDays(site, age * eventsAYear)];
  const events = sent.map(incoming);
  for (let at = 0; at < events.length; at += 1000) await intake.accept(organisation, events.slice(at, at + 1000));
  const end = Math.max(...events.map(({ event }) => event.at));
  const checkpoints = await count(database, 'checkpoint', site);
  for (const [name, late] of Object.entries(lateness)) {
    const times: number[] = [];
    const reads: number[] = [];
    for (let sample = 0; sample < samples; sample++) {
      const one = incoming(reading(site, end - late - sample * 60_000, `${name}-${sample}`));
      events.push(one);
      const before = ledger.counters.replayedEvents;
      const started = performance.now();
      await intake.accept(organisation, [one]);
      times.push(performance.now() - started);
      reads.push(ledger.counters.replayedEvents - before);
    }
    console.log(
      [
        String(age).padStart(5),
        String(sent.length).padStart(7),
        String(checkpoints).padStart(12),
        name.padStart(9),
        String(median(reads)).padStart(14),
        median(times).toFixed(1).padStart(7),
      ].join(' '),
    );
  }
  const { findings } = foldSite(
    events.map(({ event }) => event),
    book,
  );
  if ((await count(database, 'finding', site)) !== findings.size)
    throw new Error(`${site}: stored findings differ from the fold`);
  await intake.background.stop();
}

function reading(site: string, at: number, name: string): SentEvent {
  const data = { line: 'M1', bath: 'developer', temperature: { value: 69, unit: '[degF]' } };
  const time = new Date(at).toISOString();
  const id = `late-${site}-${name}`;
  return {
    specversion: '1.0',
    id,
    source: 'bench',
    type: 'bath.measured',
    time,
    site,
    datacontenttype: 'application/json',
    data,
  };
}

function incoming(event: SentEvent): Incoming {
  const decoded = decode(event, { now: Date.UTC(2100, 0), hashPatient: (token) => token });
  if (!decoded.ok) throw new Error(JSON.stringify(decoded.faults));
  return decoded;
}

async function count(from: Database, table: 'checkpoint' | 'finding', site: string): Promise<number> {
  const standing = table === 'finding' ? ` and state <> 'withdrawn'` : '';
  const rows = await from.withOrganisation(organisation, (tx) =>
    tx.query<{ n: number }>(
      `select count(*)::int as n from ${table} where organisation = $1 and site = $2${standing}`,
      organisation,
      site,
    ),
  );
  return rows[0]?.n ?? 0;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0;
}
