import { fork } from 'node:child_process';
import { once } from 'node:events';
import os from 'node:os';
import { fileURLToPath } from 'node:url';
import { configuration, ordinaryDays } from './days.js';
import { planOf, send } from './load.js';
import { answer, ownDatabase, ownFolder } from './places.js';
import type { Side, Started } from './side.js';

/**
 * Events a second through the whole pipeline (HTTP, validation, ledger, fold, findings, commit), beside a store-only
 * handler on the same database in the same run. Both sides are checked to hold the same events before a number counts.
 *
 *     npm run bench                       the embedded database, and PostgreSQL when DATABASE_URL or TEST_DATABASE_URL is set
 *     npm run bench -- --guard            ends with an error when a ratio on PostgreSQL is below its guard
 *     npm run bench -- --rounds 5         rounds of each measurement; the best of each side counts (default 3)
 */
const offices = 40;
const guards: Readonly<Record<number, number>> = { 1: 0.3, 100: 0.5 };
/** Events and connections of one round, by events a request. */
const loads = [
  { size: 1, perOffice: 75, senders: 20 },
  { size: 100, perOffice: 500, senders: 8 },
] as const;

interface Measured {
  readonly database: string;
  readonly size: number;
  readonly rates: Readonly<Record<Side, number>>;
}

const url = process.env['DATABASE_URL'] || process.env['TEST_DATABASE_URL'];
const rounds = Number(process.argv[process.argv.indexOf('--rounds') + 1]) || 3;
const measured: Measured[] = [];

console.log(
  `${os.availableParallelism()} cores (${os.cpus()[0]?.model ?? 'unknown'}), ${Math.round(os.totalmem() / 2 ** 30)} GiB, Node ${process.version}`,
);
console.log(`${offices} offices; the sender shares the machine with the server and the database.\n`);
for (const database of url === undefined ? ['embedded'] : ['embedded', 'postgresql']) {
  for (const load of loads) measured.push(await measure(database, load));
}
if (url === undefined)
  console.log('\nPostgreSQL was not measured: set DATABASE_URL to a server where databases may be created.');
const below = measured.filter(
  ({ database, size, rates }) => database === 'postgresql' && ratio(rates) < (guards[size] ?? 0),
);
for (const { size, rates } of below)
  console.log(`Below the guard: ${ratio(rates).toFixed(2)} for ${size} a request, asked for ${guards[size]}.`);
if (below.length > 0 && process.argv.includes('--guard')) process.exitCode = 1;

async function measure(database: string, { size, perOffice, senders }: (typeof loads)[number]): Promise<Measured> {
  const best: Record<Side, number> = { stepwedge: 0, 'store-only': 0 };
  for (let round = 0; round < rounds; round++) {
    const lists: string[][] = [];
    for (const side of ['stepwedge', 'store-only'] as const) {
      const { rate, stored } = await oneRound(database, side, size, perOffice, senders);
      best[side] = Math.max(best[side], rate);
      lists.push(stored);
    }
    const [ours, theirs] = lists;
    const count = offices * (perOffice + 1);
    if (ours?.length !== count || ours.join('\n') !== theirs?.join('\n')) {
      throw new Error(`The two sides do not hold the same events: ${ours?.length} and ${theirs?.length} of ${count}.`);
    }
  }
  const figure = (side: Side) => Math.round(best[side]).toLocaleString('en').padStart(8);
  console.log(
    `${database.padEnd(11)} ${String(size).padStart(3)} a request  ${figure('stepwedge')} events/s   ` +
      `store only ${figure('store-only')} events/s   ratio ${ratio(best).toFixed(2)}`,
  );
  return { database, size, rates: best };
}

async function oneRound(database: string, side: Side, size: number, perOffice: number, senders: number) {
  const { place, remove } = database === 'embedded' ? await ownFolder() : await ownDatabase(url ?? '');
  const child = fork(fileURLToPath(new URL('./side.js', import.meta.url)), [side, JSON.stringify(place)]);
  try {
    const target = await answer<Started>(child);
    const bySender: string[][] = Array.from({ length: senders }, () => []);
    for (let office = 0; office < offices; office++) bySender[office % senders]?.push(`office-${office}`);
    await send(target, [[bySender.flat().map(configuration)]]);
    // A sender tells its offices' days side by side, so that a batch holds several sites.
    const days = bySender.map((sites) =>
      sites
        .flatMap((site) => ordinaryDays(site, perOffice))
        .sort((a, b) => (a.time < b.time ? -1 : a.time > b.time ? 1 : 0)),
    );
    // The first tenth warms both sides up alike and is not counted.
    const cut = (events: readonly (typeof days)[number][number][]) => Math.ceil(events.length / 10 / size) * size;
    await send(
      target,
      planOf(
        days.map((events) => events.slice(0, cut(events))),
        size,
      ),
    );
    const rest = days.map((events) => events.slice(cut(events)));
    const seconds = await send(target, planOf(rest, size));
    child.send('stored');
    const stored = await answer<string[]>(child);
    return { rate: rest.flat().length / seconds, stored };
  } finally {
    if (child.exitCode === null) {
      child.send('close');
      await once(child, 'exit');
    }
    await remove();
  }
}

function ratio(rates: Measured['rates']): number {
  return rates.stepwedge / rates['store-only'];
}
