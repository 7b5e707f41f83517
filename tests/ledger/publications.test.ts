import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../../src/canonical-json.js';
import type { Database } from '../../src/db/port.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import type { AnyEvent } from '../../src/events/event.js';
import type { Finding } from '../../src/engine/finding.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { publish } from '../../src/ledger/publish.js';
import { rejudgeAll } from '../../src/ledger/rejudge-all.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { PackBook } from '../../src/packs/book.js';
import { editionsOf, type Publication } from '../../src/packs/publications.js';
import { readPack } from '../../src/packs/reader/index.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { long, seed } from '../oracle/settings.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { MemoryDatabase } from '../support/memory-database.js';
import { deliveries, type Delivery } from './deliveries.js';
import { organisationIn } from './stored.js';

/** Random deliveries with packs published in between, and what is stored in the end against the fold of it all. */
const runs = { memory: long ? 3000 : 15, database: long ? 60 : 3 };

const begun = Date.parse('2026-01-02T08:00:00Z');
const day = 86_400_000;

/** A clinic's own: tighter or looser, with a duty and a check that come and go between versions. */
function text(number: number, kind: number): string {
  const carried =
    'tests: [{ name: a, kind: fires, events: [], expect: [{}] }, { name: b, kind: silent, events: [] }, { name: c, kind: boundary, events: [], expect: [] }]';
  const check = `checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: ${kind} }
    severity: warning
    say: 'Strip {wedge.steps} steps off'
    ${carried}
`;
  const duty = `duties:
  - id: round
    title: Round
    must: { event: day.opened }
    per: line
    every: ${kind + 3} d
    severity: advice
    say: 'No round'
    ${carried}
`;
  return `pack: clinic/own
version: 1.${number}.0
title: Our own
authority: The clinic
layer: clinic
citation: { text: our own, read: practice }
limits:
  - { id: chemistry-age, of: chemistry.age, for: { method: [manual, automatic] }, max: ${20 + kind} d, severity: standard }
${kind % 2 === 0 ? check : ''}${kind % 3 === 0 ? duty : ''}`;
}

interface Step {
  /** Published after this share of the batches. */
  readonly after: number;
  readonly kind: number;
  /** Days from the beginning on which it is published, and from which on it judges; undefined: from then. */
  readonly on: number;
  readonly effective: number | undefined;
  /** Whether the sites are judged by it at once, or as the sweeper and the next events come to them. */
  readonly atOnce: boolean;
}
const steps = fc.array(
  fc.record({
    after: fc.double({ min: 0, max: 1, noNaN: true }),
    kind: fc.nat(5),
    on: fc.nat(100),
    effective: fc.option(fc.integer({ min: -5, max: 110 }), { nil: undefined }),
    atOnce: fc.boolean(),
  }),
  { minLength: 1, maxLength: 6 },
);

const seen = { published: 0, backDated: 0, ahead: 0, replaced: 0 };

type Reader = (site: string) => Promise<readonly Finding[]>;

async function check(
  database: Database,
  organisation: string,
  { sites, batches, until }: Delivery,
  published: readonly Step[],
  stored: Reader,
): Promise<void> {
  let now = begun;
  const ledger = () =>
    createLedger({
      database: only(database, organisation),
      book: shipped,
      now: () => now,
      spacing: 4,
      cachedSites: 10,
    });
  const intakes = [new Intake(ledger()), new Intake(ledger())] as const;
  const publications: Publication[] = [];
  // Server time does not run backwards.
  const due = [...published].sort((a, b) => a.after - b.after);
  const put = async (step: Step, which: Intake): Promise<void> => {
    now = Math.max(now, begun + step.on * day);
    const draft = text(publications.length + 1, step.kind);
    const { pack, diagnostics } = readPack(draft, 'own.yaml');
    if (pack === undefined) throw new Error(JSON.stringify(diagnostics));
    const effective = step.effective === undefined ? undefined : begun + step.effective * day;
    const answer = await publish(which.ledger, organisation, { pack, text: draft, effective, by: 'k' }, undefined);
    if ('refused' in answer) throw new Error(answer.refused);
    publications.push({ pack, effective: effective ?? now, publishedAt: now });
    seen.published += 1;
    if (effective !== undefined) seen[effective < now ? 'backDated' : 'ahead'] += 1;
    if (!step.atOnce) await asItStands(which);
    else expect((await rejudgeAll(which.ledger, which.background, organisation, 60_000)).pending).toEqual([]);
  };
  /** A board asked for now is by the packs of now, whatever the findings were judged by so far. */
  const arrived: AnyEvent[] = [];
  const asItStands = async ({ ledger }: Intake): Promise<void> => {
    const [first] = sites;
    const all = arrived.filter(({ site }) => site === first?.id);
    if (first === undefined || all.length === 0) return;
    const view = await stateAt(ledger, organisation, first.id, now);
    const book = new PackBook(editionsOf(shipped.packs, publications));
    expect(canonicalJson(view?.state)).toBe(canonicalJson(foldSite(all, book, now).state));
  };
  for (const [index, batch] of batches.entries()) {
    for (let step = due[0]; step !== undefined && step.after <= index / batches.length; step = due[0]) {
      due.shift();
      await put(step, intakes[batch.process === 0 ? 1 : 0]);
    }
    const intake = intakes[batch.process === 0 ? 0 : 1];
    const newest = Math.max(...batch.events.map(({ event }) => event.at));
    now = Math.max(now, newest);
    await intake.accept(organisation, batch.events);
    arrived.push(...batch.events.map(({ event }) => event));
    for (const each of batch.then) if ('sweep' in each) await new Sweeper(intake.ledger).sweep();
  }
  for (const step of due) await put(step, intakes[0]);
  now = Math.max(now, until);
  const last = ledger();
  await new Sweeper(last).sweep();
  const editions = editionsOf(shipped.packs, publications);
  seen.replaced += publications.length - editions.filter(({ pack }) => pack.id === 'clinic/own').length;
  const book = new PackBook(editions);
  for (const { id, events } of sites) {
    const all = events.map(({ event }) => event);
    const { findings } = foldSite(all, book, now);
    const texts = (list: Iterable<Finding>) => [...list].map((finding) => canonicalJson(finding)).sort();
    expect(texts(await stored(id))).toEqual(texts(findings.values()));
    for (const process of [last, intakes[1].ledger]) {
      const view = await stateAt(process, organisation, id, now);
      expect(view?.book.hash).toBe(book.hash);
      expect(canonicalJson(view?.state)).toBe(canonicalJson(foldSite(all, book, now).state));
    }
  }
}

/** The sweeper goes through this organisation alone. */
function only(database: Database, organisation: string): Database {
  return {
    kind: database.kind,
    durability: database.durability,
    withOrganisation: (name, work, options) => database.withOrganisation(name, work, options),
    organisations: () => Promise.resolve([organisation]),
    ping: () => database.ping(),
    close: () => database.close(),
  };
}

const patience = long ? 3_600_000 : 60_000;

describe(`packs published in between, seed ${seed}`, () => {
  test(
    `${runs.memory} deliveries to a ledger in memory`,
    async () => {
      await fc.assert(
        fc.asyncProperty(deliveries(8), steps, async (delivery, published) => {
          const database = new MemoryDatabase();
          await check(database, 'memory', delivery, published, (site) =>
            Promise.resolve(
              [...database.findings.values()]
                .filter((row) => row.site === site && row.state !== 'withdrawn')
                .map(({ detail }) => detail),
            ),
          );
        }),
        { numRuns: runs.memory, seed, endOnFailure: true },
      );
      for (const [name, count] of Object.entries(seen)) expect([name, count > 0]).toEqual([name, true]);
    },
    patience,
  );
});

describeEachDatabase(`packs published in between, seed ${seed}`, (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  test(
    `${runs.database} deliveries`,
    async () => {
      await fc.assert(
        fc.asyncProperty(deliveries(8), steps, async (delivery, published) => {
          const organisation = await organisationIn(database);
          await check(database, organisation, delivery, published, (site) =>
            database.withOrganisation(organisation, async (tx) => {
              const rows = await tx.query<{ detail: Finding }>(
                "select detail from finding where organisation = $1 and site = $2 and state <> 'withdrawn'",
                organisation,
                site,
              );
              return rows.map(({ detail }) => detail);
            }),
          );
        }),
        { numRuns: runs.database, seed, endOnFailure: true },
      );
    },
    patience,
  );
});
