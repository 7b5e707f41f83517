import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { canonicalJson } from '../../src/canonical-json.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import type { Incoming } from '../../src/ledger/results.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, run, takenBack, told } from './office.js';
import { expected, headOf, organisationIn, standing } from './stored.js';

const day = 86_400_000;
const start = Date.parse('2026-01-06T08:00:00Z');
const on = (n: number, minutes = 0) => new Date(start + n * day + minutes * 60_000).toISOString();

/** Forty days: a reading and a run each morning, now and then one that breaks the chart. */
function weeks(): Incoming[] {
  const bath = (n: number) =>
    told('bath.measured', on(n), {
      line: 'M1',
      bath: 'developer',
      temperature: { value: n % 7 === 3 ? 84 : 68, unit: '[degF]' },
    });
  return [
    configured(),
    ...Array.from({ length: 40 }, (_, n) => [bath(n), run(on(n, 30), n % 5 === 2 ? 2 : 5, 68)]).flat(),
  ];
}
const waste = (time: string) => told('waste.handedOver', time, { kind: 'foil' });

/** Law L23: a replay stops where its state equals a stored checkpoint's. */
describeEachDatabase('a replay that meets a checkpoint', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  async function office() {
    const organisation = await organisationIn(database);
    const now = start + 60 * day;
    const own = Object.assign(Object.create(database) as TestDatabase, { organisations: async () => [organisation] });
    const ledger = createLedger({ database: own, book: shipped, now: () => now, spacing: 4 });
    const intake = new Intake(ledger);
    const all = weeks();
    // A batch leaves at most one checkpoint.
    for (let at = 0; at < all.length; at += 4) await intake.accept(organisation, all.slice(at, at + 4));
    expect(await new Sweeper(ledger).sweep()).toBe(1);
    const { counters } = ledger;
    return {
      all,
      /** One more event; how many were read for it, and whether a checkpoint was met. */
      async late(event: Incoming): Promise<{ read: number; met: number }> {
        const before = { ...counters };
        await intake.accept(organisation, [event]);
        all.push(event);
        return { read: counters.replayedEvents - before.replayedEvents, met: counters.replaysMet - before.replaysMet };
      },
      /** Findings, views and checkpoints are those of the whole ledger. */
      async check(): Promise<void> {
        const events = all.map(({ event }) => event);
        const { swept_to, unjudged, events: rows, next_due } = await headOf(database, organisation, 'north');
        expect([unjudged, rows]).toEqual([null, events.length]);
        expect(await standing(database, organisation, 'north')).toEqual(expected(events, shipped, swept_to));
        expect(next_due).toBe(foldSite(events, shipped, swept_to).state.nextDue);
        for (const at of [start + 11 * day, start + 33 * day, now]) {
          const view = await stateAt(ledger, organisation, 'north', at);
          const then = events.filter((event) => event.at <= at || event.type === 'event.retracted');
          expect(canonicalJson(view?.state)).toBe(canonicalJson(foldSite(then, shipped, at).state));
        }
        const counts = await database.withOrganisation(organisation, (tx) =>
          tx.query<{ said: number; true: number }>(
            `select c.events::float8 as said,
                    (select count(*) from event e where e.organisation = c.organisation and e.site = c.site
                      and (e.at, e.rank, e.source, e.id) <= (c.at, c.rank, c.source, c.id)
                      and not exists (select 1 from event r where r.organisation = e.organisation and r.site = e.site
                        and r.type = 'event.retracted' and e.type <> 'event.retracted'
                        and (r.data ->> 'source', r.data ->> 'id') = (e.source, e.id)))::float8 as true
             from checkpoint c where c.organisation = $1`,
            organisation,
          ),
        );
        expect(counts.length).toBeGreaterThan(4);
        expect(counts.filter((one) => one.said !== one.true)).toEqual([]);
      },
    };
  }

  test('stops there, and everything is as if it had gone on', async () => {
    const { late, check } = await office();
    const handedOver = waste(on(4, 60));
    const { read, met } = await late(handedOver);
    expect(met).toBe(1);
    expect(read).toBeLessThan(40);
    await check();
    // What comes after is judged from the state that was kept.
    expect(await late(run(on(41), 2, 68))).toEqual({ read: 0, met: 0 });
    await check();
    expect((await late(takenBack(on(6, 61), handedOver))).met).toBe(1);
    await check();
  });

  test('goes on to the end when the event has left a trace', async () => {
    const { late, check, all } = await office();
    // Another run off the chart: its finding stays open.
    expect((await late(run(on(5, 90), 2, 68))).met).toBe(0);
    await check();
    // A run in time eases the card of an earlier one; and back.
    const eased = run(on(7, 40), 5, 68);
    expect((await late(eased)).met).toBe(0);
    await late(takenBack(on(7, 41), eased));
    await check();
    // Taking back a reading that opened and cleared something.
    const hot = all.find(({ event }) => event.type === 'bath.measured' && event.at === start + 3 * day) as Incoming;
    await late(takenBack(on(3, 5), hot));
    await check();
  });

  test('an event between places that is at the very instant of a checkpoint, before and after it', async () => {
    const { late, check } = await office();
    for (let n = 1; n < 40; n += 3) {
      await late(waste(on(n)));
      await late(waste(on(n, 30)));
    }
    await check();
  });
});
