import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../../src/canonical-json.js';
import type { Database } from '../../src/db/port.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { board } from '../../src/engine/board.js';
import { dueList } from '../../src/engine/due.js';
import type { Finding } from '../../src/engine/finding.js';
import { Traces } from '../../src/findings/traces.js';
import { createLedger, type Log } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { disagreements, reference } from '../oracle/oracle.js';
import { books } from '../oracle/publications.js';
import { long, seed } from '../oracle/settings.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { MemoryDatabase } from '../support/memory-database.js';
import { deliveries, type Delivery } from './deliveries.js';
import { organisationIn } from './stored.js';

/** Deliveries tried: 90 and 10 of them in the suite, beside the 100 of tests/oracle/laws.test.ts; a thorough run tries 100,000, for hours. */
const cases = Number(process.env['STEPWEDGE_CASES'] ?? (long ? 100_000 : 90));
const onDatabase = long ? 300 : 10;
/** Minutes after which a thorough run ends with what it has tried; 100,000 take about four hours. */
const minutes = Number(process.env['STEPWEDGE_LONG_MINUTES'] ?? 480);

/** To see one delivery again that failed. */
const path = process.env['STEPWEDGE_PATH'];

/** A thorough run may be over before. */
const most = (count: number) => `${long ? 'up to ' : ''}${count} deliveries`;

const small = deliveries(8);
/** Mostly small ones: more of them, and small ones show most. */
const sized = long ? fc.oneof({ arbitrary: small, weight: 4 }, { arbitrary: deliveries(24), weight: 1 }) : small;

const seen = {
  events: 0,
  repeated: 0,
  replays: 0,
  met: 0,
  swept: 0,
  restarts: 0,
  withdrawn: 0,
  reinstated: 0,
  closed: 0,
};
const seenSites = { one: 0, several: 0 };

interface Place {
  readonly database: Database;
  readonly organisation: string;
}
/** The rows of a site and its next due instant. */
interface Kept {
  readonly findings: readonly string[];
  readonly nextDue: number | null;
}
type Reader = (place: Place, site: string) => Promise<Kept>;

const loud: Log = {
  info: () => undefined,
  warn: () => undefined,
  error: (fields, message) => {
    throw new Error(`${message} ${JSON.stringify(fields)}`, { cause: (fields as { err?: unknown }).err });
  },
};

/** One process over a database; its clock is set by the test. */
class Process {
  readonly intake: Intake;
  now: number;
  constructor({ database, organisation }: Place, packs: number, until: number) {
    this.now = until;
    const own = Object.assign(Object.create(database) as Database, { organisations: async () => [organisation] });
    this.intake = new Intake(
      createLedger({
        database: bound(own, database),
        book: books[packs] ?? shipped,
        now: () => this.now,
        log: loud,
        traces: new Traces({ strict: true, sample: 50 }),
        spacing: 4,
        cachedSites: 10,
      }),
    );
  }
  sweep(at: number): Promise<number> {
    this.now = at;
    return new Sweeper(this.intake.ledger).sweep();
  }
}

/** Private members of a database are its own, not those of an object that has it as prototype. */
function bound(own: Database, database: Database): Database {
  own.withOrganisation = database.withOrganisation.bind(database) as Database['withOrganisation'];
  return own;
}

/** Bring a delivery in, and let time pass until its end. */
async function deliver(place: Place, { batches, packs, until }: Delivery): Promise<Process> {
  const processes = [new Process(place, 0, until), new Process(place, 0, until)] as [Process, Process];
  for (const batch of batches) {
    const { intake } = processes[batch.process] as Process;
    for (const process of processes) process.now = until;
    const { results } = await intake.accept(place.organisation, batch.events);
    expect(results.filter(({ status }) => status === 'rejected')).toEqual([]);
    seen.events += batch.events.length;
    seen.repeated += results.filter(({ status }) => status === 'duplicate').length;
    for (const step of batch.then) {
      if ('packs' in step) {
        note(intake);
        seen.restarts += 1;
        processes[batch.process] = new Process(place, step.packs, until);
      } else {
        const sweepers = step.sweep === 2 ? processes : [processes[batch.process] as Process];
        for (const written of await Promise.all(sweepers.map((one) => one.sweep(step.at)))) seen.swept += written;
      }
    }
  }
  const last = [new Process(place, packs, until), new Process(place, packs, until)] as [Process, Process];
  for (const process of processes) note(process.intake);
  await Promise.all(last.map((process) => process.sweep(until)));
  return last[0];
}

function note({ ledger: { counters } }: Intake): void {
  seen.replays += counters.replays;
  seen.met += counters.replaysMet;
}

/** In one batch, in order, by one process that has had the last packs all along. */
function inOrder({ sites, packs, until }: Delivery): Delivery {
  const events = sites
    .flatMap((site) => site.events)
    .sort((a, b) => a.event.at - b.event.at || a.event.rank - b.event.rank);
  return { sites, batches: [{ events, process: 0, then: [{ packs }] }], packs, until };
}

async function check(place: Place, plain: Place, delivery: Delivery, kept: Reader): Promise<void> {
  const { sites, packs, until } = delivery;
  const book = books[packs] ?? shipped;
  const process = await deliver(place, delivery);
  await deliver(plain, inOrder(delivery));
  seenSites[sites.length > 1 ? 'several' : 'one'] += 1;
  for (const { id, events: incoming } of sites) {
    const events = incoming.map(({ event }) => event);
    const { folded, evaluations } = reference(events, book, until);
    const due = await kept(place, id);
    expect(due.findings).toEqual(texts(folded.findings.values()));
    expect(due.nextDue).toBe(folded.state.nextDue);
    expect(due).toEqual(await kept(plain, id));
    // Conditions by json-rules-engine too: all of a few histories, a few of all.
    const share = long ? 97 : 31;
    expect(await disagreements(evaluations.filter((_, index) => index % share === events.length % share))).toEqual([]);

    const from = Math.min(...events.map(({ at }) => at));
    for (const part of [0.3, 0.7, 1]) {
      const at = Math.round(from + part * (until - from));
      const view = await stateAt(process.intake.ledger, place.organisation, id, at);
      // Known as of then: what had happened by then, without what was taken back since.
      const known = events.filter((event) => event.at <= at || event.type === 'event.retracted');
      const { state } = foldSite(known, book, at);
      if (view === null) throw new Error(`the site ${id} is gone`);
      const toTheLetter = expectSame(view.state, state) && view.book === book;
      // Functions of the state: of one and the same they are compared once.
      if (toTheLetter && part < 1) continue;
      expectSame(board(view.state, at, view.book), board(state, at, book));
      expectSame(dueList(view.state, at, view.book), dueList(state, at, book));
    }
  }
}

/** The same content; the order of the keys does not matter. @returns whether that is the same, too. */
function expectSame(a: unknown, b: unknown): boolean {
  const toTheLetter = JSON.stringify(a) === JSON.stringify(b);
  if (!toTheLetter) expect(canonicalJson(a)).toBe(canonicalJson(b));
  return toTheLetter;
}

function texts(findings: Iterable<Finding>): string[] {
  return [...findings].map((finding) => canonicalJson(finding)).sort();
}

/** Runs the property and prints what it tried. */
async function tried(what: string, numRuns: number, property: fc.IAsyncProperty<[Delivery]>): Promise<void> {
  const begun = Date.now();
  const details = await fc.check(property, {
    numRuns,
    seed,
    ...(path === undefined ? {} : { path }),
    ...(long ? { interruptAfterTimeLimit: minutes * 60_000, markInterruptAsFailure: false } : {}),
    endOnFailure: process.env['STEPWEDGE_SHRINK'] === undefined,
  });
  const seconds = Math.round((Date.now() - begun) / 1000);
  const rate = (details.numRuns / Math.max(1, seconds)).toFixed(1);
  if (long)
    console.log(
      `${what}: ${details.numRuns} deliveries, seed ${seed}, ${seconds} s, ${rate} a second, ${JSON.stringify(seen)}`,
    );
  // The delivery itself would fill pages: it is made again from its seed and path.
  if (details.failed) {
    const again = `STEPWEDGE_SEED=${seed} STEPWEDGE_PATH=${details.counterexamplePath}`;
    throw new Error(`${what}, to be seen again with ${again}`, { cause: details.errorInstance });
  }
}

/** What a generator that grows dull would no longer show. */
function expectVariety(): void {
  for (const [name, count] of Object.entries({ ...seen, ...seenSites }))
    expect([name, count > 0]).toEqual([name, true]);
}

function count(change: string): void {
  if (change === 'withdrawn' || change === 'reinstated' || change === 'closed') seen[change] += 1;
}

const patience = long ? (minutes + 5) * 60_000 : 120_000;

/**
 * Laws L1 to L6, L20 and L22 over the ledger: whatever the order, the batches, the repetitions, the process, the packs
 * published in between and the sweeps, what is stored in the end is the fold of the events under the last packs.
 */
describe(`any order of arrival, seed ${seed}`, () => {
  const kept: Reader = ({ database }, site) => {
    const memory = database as MemoryDatabase;
    const rows = [...memory.findings.values()].filter((row) => row.site === site && row.state !== 'withdrawn');
    return Promise.resolve({
      findings: texts(rows.map(({ detail }) => detail)),
      nextDue: memory.heads.get(site)?.next_due ?? null,
    });
  };

  test(
    `${most(cases)} to a ledger in memory`,
    async () => {
      await tried(
        'ledger in memory',
        cases,
        fc.asyncProperty(sized, async (delivery) => {
          const [place, plain] = [0, 1].map(() => ({ database: new MemoryDatabase(), organisation: 'memory' })) as [
            Place & { database: MemoryDatabase },
            Place,
          ];
          await check(place, plain, delivery, kept);
          for (const { change } of place.database.changes) count(change);
        }),
      );
      expectVariety();
    },
    patience,
  );
});

describeEachDatabase(`any order of arrival, seed ${seed}`, (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  const kept: Reader = ({ organisation }, site) =>
    database.withOrganisation(organisation, async (tx) => {
      const rows = await tx.query<{ detail: Finding }>(
        "select detail from finding where organisation = $1 and site = $2 and state <> 'withdrawn'",
        organisation,
        site,
      );
      const heads = await tx.query<{ due: number | null }>(
        'select next_due as due from site_head where organisation = $1 and site = $2',
        organisation,
        site,
      );
      return { findings: texts(rows.map(({ detail }) => detail)), nextDue: heads[0]?.due ?? null };
    });

  test(
    most(onDatabase),
    async () => {
      await tried(
        'database',
        onDatabase,
        fc.asyncProperty(sized, async (delivery) => {
          const [place, plain] = [
            { database, organisation: await organisationIn(database) },
            { database, organisation: await organisationIn(database) },
          ];
          await check(place, plain, delivery, kept);
        }),
      );
    },
    patience,
  );
});
