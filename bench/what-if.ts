import os from 'node:os';
import { openDatabase } from '../src/db/open.js';
import { canonicalData } from '../src/events/canonical.js';
import { catalogue, type EventType } from '../src/events/catalogue.js';
import { decode } from '../src/events/decode.js';
import type { AnyEvent } from '../src/events/event.js';
import { createLedger } from '../src/ledger/context.js';
import { Intake } from '../src/ledger/intake.js';
import { Organisations } from '../src/ledger/organisations.js';
import type { Incoming } from '../src/ledger/results.js';
import { whatIf } from '../src/ledger/what-if.js';
import { PackBook } from '../src/packs/book.js';
import type { Limit, Pack } from '../src/packs/model.js';
import { loadPacks } from '../src/packs/load.js';
import { foldSite } from '../src/trials/fold-site.js';
import { type Crowd, Trial, tried, type WhatIf } from '../src/trials/what-if/index.js';
import { configuration, endlessDays, ordinaryDays, type SentEvent } from './days.js';
import { ownDatabase, ownFolder } from './places.js';
import { Stopwatch } from './stopwatch.js';

/**
 * A what-if over a million events of ordinary days: both folds of every site, with packs that change little, more, and
 * everything. First the folds alone, on events made in memory a page at a time while the clock stands still; then from a
 * ledger, with reading. Before a number counts, a site's answer is compared with the difference of two whole folds.
 *
 *     npm run bench:what-if                        a million events in memory, 100,000 from the embedded database
 *     npm run bench:what-if -- --events 200000     fewer
 *     npm run bench:what-if -- --ledger 1000000    more from the ledger; PostgreSQL with DATABASE_URL
 */
const events = option('--events', 1_000_000);
const inLedger = option('--ledger', 100_000);
const sites = 40;
const page = 2000;
const target = 10;

const { packs } = await loadPacks('rules');
const book = new PackBook(packs);
const tighter = (limit: Limit, ratio: number): Limit => {
  const { max } = limit;
  if (max?.kind === 'period')
    return { ...limit, max: { ...max, period: { ...max.period, count: Math.ceil(max.period.count * ratio) } } };
  if (max?.kind !== 'quantity') return limit;
  const { value, canonical, unit } = max.quantity;
  return {
    ...limit,
    max: { kind: 'quantity', quantity: { value: value * ratio, canonical: canonical * ratio, unit } },
  };
};
const changed = (id: string, ratio: number): Pack[] =>
  packs
    .filter((pack) => pack.id === id)
    .map((pack) => ({ ...pack, limits: pack.limits.map((one) => tighter(one, ratio)) }));
const trials: Readonly<Record<string, readonly Pack[]>> = {
  'age of chemistry': changed('common/chemistry-age', 0.3),
  'temperatures and runs': [...changed('common/temperatures', 0.7855), ...without('common/processing-times')],
  'every rule': changed('common/instruments', 0.9),
};

/** Without the tolerance of its first limit: the law's times alone. */
function without(id: string): Pack[] {
  return packs.filter((pack) => pack.id === id).map((pack) => ({ ...pack, limits: pack.limits.slice(1) }));
}

const end = Date.UTC(2100, 0);
console.log(
  `${os.availableParallelism()} cores (${os.cpus()[0]?.model ?? 'unknown'}), Node ${process.version}; one of them is used.`,
);
console.log(
  `${events.toLocaleString('en')} events of ${sites} sites, folded twice. Target: ${target} s for a million.\n`,
);
console.log('packs on trial          rules folded     s  CPU s   events/s   found otherwise   peak RSS');
for (const [name, some] of Object.entries(trials)) inMemory(name, some);
if (inLedger > 0) await fromLedger();

function option(name: string, usual: number): number {
  const at = process.argv.indexOf(name);
  return at < 0 ? usual : Number(process.argv[at + 1]);
}

/** As the ledger gives an event, which has long passed the catalogue. */
function stored({ type, time, source, id, site, data }: SentEvent): AnyEvent {
  const { rank } = catalogue[type as EventType];
  return {
    at: Date.parse(time),
    rank,
    source,
    id,
    type,
    site,
    data: canonicalData(type as EventType, data),
  } as AnyEvent;
}

function inMemory(name: string, some: readonly Pack[]): void {
  const after = tried(book.editions, some);
  const each = Math.floor(events / sites);
  const last = stored(ordinaryDays('office', each).at(-1) as SentEvent).at + 86_400_000;
  const crowd = checked(after, Math.min(each, 10_000), each, last);
  const trial = new Trial(book.editions, after, last);
  const clock = new Stopwatch();
  for (let office = 0; office < sites; office++) {
    const site = `office-${office}`;
    const one = trial.site({ crowd });
    const source = days(site, each);
    for (let next = takePage(source); next.length > 0; next = takePage(source)) {
      clock.run(() => {
        for (const event of next) one.step(event);
        one.settle();
      });
      if (one.isCrowded()) throw new Error(`${site} is crowded: it would be folded again with every rule.`);
    }
    clock.run(() => one.end(last));
  }
  tell(name, trial, trial.answer(), clock);
}

function tell(name: string, { affected }: Pick<Trial, 'affected'>, answer: WhatIf, { wall, cpu }: Stopwatch): void {
  const { added, removed, changed: other } = answer.counts;
  const all = book.packs.reduce((sum, pack) => sum + pack.rules.length, 0);
  const rss = Math.round(process.resourceUsage().maxRSS / 1024);
  console.log(
    [
      name.padEnd(24),
      `${affected.whole ? all : affected.folded.size} of ${all}`.padStart(10),
      wall.toFixed(1).padStart(7),
      cpu.toFixed(1).padStart(6),
      Math.round(answer.events / wall)
        .toLocaleString('en')
        .padStart(10),
      `+${added} -${removed} ~${other}`.padStart(17),
      `${rss} MiB`.padStart(10),
    ].join(' '),
  );
}

function* days(site: string, count: number): Generator<AnyEvent> {
  yield stored(configuration(site));
  let number = 1;
  for (const sent of endlessDays(site)) {
    if (number === count) return;
    number += 1;
    yield stored(sent);
  }
}

function takePage(source: Iterator<AnyEvent>): AnyEvent[] {
  const some: AnyEvent[] = [];
  while (some.length < page) {
    const { done, value } = source.next();
    if (done === true) break;
    some.push(value);
  }
  return some;
}

/**
 * The answer about one site against the difference of two whole folds, and what its other rules have found, as intake
 * stores it: every site has the same days.
 */
function checked(after: ReturnType<typeof tried>, some: number, each: number, last: number): Crowd {
  const list = [...days('office', some)];
  const until = (list.at(-1)?.at ?? 0) + 86_400_000;
  const [ours, theirs] = [book, new PackBook(after)].map((one) => foldSite(list, one, until).findings) as [
    Map<string, unknown>,
    Map<string, unknown>,
  ];
  const trial = new Trial(book.editions, after, until);
  const one = trial.site({ crowd: { open: 0, closed: 0 } });
  for (const event of list) one.step(event);
  one.end(until);
  const { added, removed } = trial.answer().counts;
  const expected = [[...theirs.keys()].filter((id) => !ours.has(id)), [...ours.keys()].filter((id) => !theirs.has(id))];
  if (added !== expected[0]?.length || removed !== expected[1]?.length)
    throw new Error(
      `A what-if says +${added} -${removed}, two whole folds +${expected[0]?.length} -${expected[1]?.length}.`,
    );
  const { folded } = trial.affected;
  const others = [...foldSite([...days('office', each)], book, last).findings.values()].filter(
    ({ rule }) => !folded.has(rule),
  );
  return { open: others.length, closed: others.filter(({ closedAt }) => closedAt !== undefined).length };
}

async function fromLedger(): Promise<void> {
  const url = process.env['DATABASE_URL'];
  const { place, remove } = url === undefined ? await ownFolder() : await ownDatabase(url);
  const database = await openDatabase(
    place.databaseUrl === undefined ? { dataDir: place.folder ?? '' } : { databaseUrl: place.databaseUrl },
  );
  try {
    await new Organisations(database).create('main', 'Main');
    const intake = new Intake(createLedger({ database, book }));
    const each = Math.floor(inLedger / sites);
    let latest = 0;
    for (let office = 0; office < sites; office++) {
      const sent = [configuration(`office-${office}`), ...ordinaryDays(`office-${office}`, each - 1)].map(incoming);
      for (let at = 0; at < sent.length; at += 1000) await intake.accept('main', sent.slice(at, at + 1000));
      latest = Math.max(latest, ...sent.slice(-1).map(({ event }) => event.at));
    }
    console.log(
      `\nFrom the ledger (${database.kind}), ${inLedger.toLocaleString('en')} events, reading and decoding included:\n`,
    );
    for (const [name, some] of Object.entries(trials)) {
      const clock = new Stopwatch();
      const trial = new Trial(book.editions, tried(book.editions, some), latest);
      const answer = await clock.wait(() =>
        whatIf(database, 'main', { present: book.editions, packs: some, to: latest }),
      );
      if (answer.events !== each * sites) throw new Error(`${answer.events} events were read of ${each * sites}.`);
      tell(name, trial, answer, clock);
    }
  } finally {
    await database.close();
    await remove();
  }
}

function incoming(sent: SentEvent): Incoming {
  const decoded = decode(sent, { now: end, hashPatient: (token) => token });
  if (!decoded.ok) throw new Error(JSON.stringify(decoded.faults));
  return decoded as Incoming;
}
