import { afterAll, beforeAll, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../../src/canonical-json.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { verifyAudit } from '../../src/findings/audit.js';
import { Traces } from '../../src/findings/traces.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import type { Incoming } from '../../src/ledger/results.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { histories, site } from '../oracle/histories.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { expected, headOf, organisationIn, standing } from './stored.js';
import { told } from './office.js';

const runs = process.env['STEPWEDGE_LONG'] ? 150 : 12;

/** What is done to a history on its way in: its order, its cuts into batches, repetitions, sweeps, who takes it. */
const delivery = fc.record({
  order: fc.array(fc.nat(), { minLength: 100, maxLength: 100 }),
  mostlyInOrder: fc.boolean(),
  cuts: fc.infiniteStream(fc.integer({ min: 1, max: 12 })),
  repeats: fc.infiniteStream(fc.nat(9)),
  sweeps: fc.infiniteStream(fc.nat(3)),
  processes: fc.infiniteStream(fc.nat(5)),
  forgetful: fc.boolean(),
});

/** Laws L1, L3 to L6, L21 and L26: however events arrive, what is stored is the fold of the ledger. */
describeEachDatabase('stored findings equal the fold', (open) => {
  let database: TestDatabase;
  const seen = { late: 0, swept: 0, withdrawn: 0, reinstated: 0, closed: 0 };

  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  test('in any order, batching and repetition, with sweeps between, by two processes', async () => {
    await fc.assert(
      fc.asyncProperty(histories({ min: 8, max: 60 }), delivery, async (history, how) => {
        const organisation = await organisationIn(database);
        let now = history.until;
        // A sweep goes through all organisations, and the earlier histories are still there.
        const own = Object.assign(Object.create(database) as TestDatabase, {
          organisations: async () => [organisation],
        });
        const parts = {
          database: own,
          book: shipped,
          now: () => now,
          traces: new Traces({ strict: true, sample: 10 }),
          // Checkpoints close together, so that these short histories have many and lose many.
          spacing: 4,
        };
        const intakes = [0, 1].map(
          () => new Intake(createLedger({ ...parts, ...(how.forgetful ? { cachedSites: 1 } : {}) })),
        );
        const all = history.events.map(({ type, time, data, source, id }) =>
          told(type, time, data, { site, source, id }),
        );
        const [first, ...rest] = all as [Incoming, ...Incoming[]];
        const inTime = (a: Incoming, b: Incoming) => a.event.at - b.event.at;
        const order = how.mostlyInOrder ? [...rest].sort(inTime) : rest;
        const arriving = order
          .map((event, index) => ({
            event,
            place: how.mostlyInOrder && index % 9 ? index : (how.order[index % 100] ?? 0) % order.length,
          }))
          .sort((a, b) => a.place - b.place)
          .map(({ event }) => event);
        const [cuts, repeats, sweeps, processes] = [how.cuts, how.repeats, how.sweeps, how.processes].map((stream) =>
          stream[Symbol.iterator](),
        );
        const next = (stream: Iterator<number> | undefined): number =>
          (stream?.next().value as number | undefined) ?? 0;
        await intakes[0]?.accept(organisation, [first]);
        for (let at = 0; at < arriving.length;) {
          const size = next(cuts);
          const batch = arriving.slice(at, at + size);
          at += size;
          const again = next(repeats) === 0 ? arriving.slice(Math.max(0, at - 9), at - 3) : [];
          const intake = intakes[next(processes) === 0 ? 1 : 0] as Intake;
          const { results } = await intake.accept(organisation, [...again, ...batch]);
          expect(results.map(({ status }) => status)).not.toContain('rejected');
          if (next(sweeps) === 0) {
            // A sweep between what has happened and what will.
            now = Math.max(...batch.map(({ event }) => event.at)) + 3 * 86_400_000;
            seen.swept += await new Sweeper(intake.ledger).sweep();
            now = history.until;
          }
        }
        const events = all.map(({ event }) => event);
        const check = async () => {
          const { swept_to } = await headOf(database, organisation, site);
          expect(await standing(database, organisation, site)).toEqual(expected(events, shipped, swept_to));
        };
        await check();
        seen.swept += await new Sweeper((intakes[1] as Intake).ledger).sweep();
        await check();

        const changes = await database.withOrganisation(organisation, (tx) =>
          tx.query<{ change: string; cause: string; finding: string; revision: number }>(
            'select change, cause, finding, revision from finding_change where organisation = $1 order by seq',
            organisation,
          ),
        );
        expect(await verifyAudit(database, organisation, site)).toEqual({ site, rows: changes.length, intact: true });
        const revisions = new Map<string, number>();
        for (const { change, cause, finding, revision } of changes) {
          expect(revision).toBe((revisions.get(finding) ?? 0) + 1);
          revisions.set(finding, revision);
          if (cause === 'late') seen.late += 1;
          if (change === 'withdrawn' || change === 'reinstated' || change === 'closed') seen[change] += 1;
        }

        for (const part of [0.3, 0.8, 1]) {
          const from = Math.min(...events.map(({ at }) => at));
          const at = Math.round(from + part * (history.until - from));
          const view = await stateAt((intakes[0] as Intake).ledger, organisation, site, at);
          const then = foldSite(
            events.filter((event) => event.at <= at || event.type === 'event.retracted'),
            shipped,
            at,
          );
          expect(canonicalJson(view?.state)).toBe(canonicalJson(then.state));
        }
      }),
      { numRuns: runs },
    );
    // A generator that grows dull must not go unnoticed.
    const { reinstated, ...usual } = seen;
    for (const [what, count] of Object.entries(usual)) expect([what, count > 0]).toEqual([what, true]);
    if (runs > 100) expect(reinstated).toBeGreaterThan(0);
  }, 600_000);
});
