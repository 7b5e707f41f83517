import { expect, test } from '@jest/globals';
import fc from 'fast-check';
import type { Database } from '../../src/db/port.js';
import { compareKeys } from '../../src/events/order.js';
import { checkpointsOf } from '../../src/ledger/checkpoints.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import type { Incoming } from '../../src/ledger/results.js';
import { effective } from '../../src/trials/fold-site.js';
import { seed, tries } from '../oracle/settings.js';
import { shipped } from '../scenarios/stage.js';
import { MemoryDatabase } from '../support/memory-database.js';
import { configured, run, takenBack, told } from './office.js';

const hour = 3_600_000;
const start = Date.parse('2026-01-06T00:00:00Z');
const at = (hours: number) => new Date(start + hours * hour).toISOString();

/** What a checkpoint counts, and what its ledger has folded up to there: events at or before its key, none taken back. */
async function counts(database: Database, organisation: string, site: string, ledger: readonly Incoming[]) {
  const standing = effective(ledger.map(({ event }) => event));
  const known = await checkpointsOf((work) => database.withOrganisation(organisation, work), organisation, site);
  return known.map((one) => ({
    said: one.events,
    counted: standing.filter((event) => compareKeys(event, one) <= 0).length,
  }));
}

/** Events that leave a trace or none, and for some of them a retraction, which comes before its target or after it. */
const office = fc
  .array(
    fc.record({
      hours: fc.integer({ min: 0, max: 24 * 30 }),
      traced: fc.boolean(),
      retracted: fc.constantFrom(false, false, true),
      after: fc.integer({ min: 0, max: 24 * 5 }),
      place: fc.nat(999),
      placeOfRetraction: fc.nat(999),
      cut: fc.boolean(),
      process: fc.nat(1),
    }),
    { minLength: 20, maxLength: 60 },
  )
  .map((drafts) =>
    drafts
      .flatMap(({ hours, traced, retracted, after, place, placeOfRetraction, ...how }, index) => {
        const also = { id: `e-${index}` };
        const event = traced
          ? run(at(hours), 4, 68, also)
          : told('waste.handedOver', at(hours), { kind: 'foil' }, also);
        return [
          { event, place, ...how },
          ...(retracted
            ? [
                {
                  event: takenBack(at(hours + after), event, { id: `r-${index}` }),
                  place: placeOfRetraction,
                  ...how,
                },
              ]
            : []),
        ];
      })
      .sort((a, b) => a.place - b.place),
  );

test(`every checkpoint counts the events that are folded into it, whatever was taken back and when, seed ${seed}`, async () => {
  const seen = { checkpoints: 0, met: 0, replays: 0 };
  await fc.assert(
    fc.asyncProperty(office, async (arrivals) => {
      const database = new MemoryDatabase();
      const processes = [0, 1].map(() => {
        const ledger = createLedger({ database, book: shipped, now: () => start + 60 * 24 * hour, spacing: 4 });
        return new Intake(ledger);
      }) as [Intake, Intake];
      const ledger: Incoming[] = [];
      let batch = [configured({ id: 'c' })];
      for (const [index, { event, cut, process }] of arrivals.entries()) {
        batch.push(event);
        if (!cut && index < arrivals.length - 1) continue;
        const { results } = await (processes[process] as Intake).accept('memory', batch);
        expect(results.every(({ status }) => status === 'accepted')).toBe(true);
        ledger.push(...batch);
        batch = [];
        const all = await counts(database, 'memory', 'north', ledger);
        seen.checkpoints += all.length;
        expect(all.filter(({ said, counted }) => said !== counted)).toEqual([]);
      }
      for (const { ledger } of processes) {
        seen.met += ledger.counters.replaysMet;
        seen.replays += ledger.counters.replays;
      }
    }),
    tries(30),
  );
  for (const [what, count] of Object.entries(seen)) expect([what, count > 10]).toEqual([what, true]);
});

test.each([
  { spacing: 4, unjudged: null },
  { spacing: 20, unjudged: 'waiting for its replay' },
])(
  'a site with much taken back waits for its replay only if what comes after its checkpoint is long (%j)',
  async ({ spacing, unjudged }) => {
    const database = new MemoryDatabase();
    const parts = { database, book: shipped, now: () => start + 60 * 24 * hour, spacing, replayInline: 12 };
    const before = new Intake(createLedger(parts));
    await before.accept('memory', [configured()]);
    for (let n = 0; n < 30; n++) {
      const wrong = run(at(2 * n), 4, 68);
      await before.accept('memory', [wrong, takenBack(at(2 * n + 1), wrong)]);
    }
    // By a process that has no state at hand.
    const after = new Intake(createLedger(parts));
    await after.accept('memory', [run(at(70), 4, 68)]);
    expect(database.heads.get('north')).toMatchObject({ unjudged, events: 62 });
  },
);
