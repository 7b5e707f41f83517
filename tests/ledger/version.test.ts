import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { canonicalJson } from '../../src/canonical-json.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { checkpointsOf } from '../../src/ledger/checkpoints.js';
import { createLedger } from '../../src/ledger/context.js';
import { engineFold, type Fold } from '../../src/ledger/fold.js';
import { Intake } from '../../src/ledger/intake.js';
import { judgedUpTo } from '../../src/ledger/judged-by.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, run, strip } from './office.js';
import { expected, headOf, organisationIn, standing } from './stored.js';

const start = Date.parse('2026-01-06T08:00:00Z');
const on = (day: number, minutes = 0) => new Date(start + day * 86_400_000 + minutes * 60_000).toISOString();
const now = start + 60 * 86_400_000;

/** Another release, to which a strip says nothing and every run was too short. */
const other: Fold = {
  ...engineFold,
  version: engineFold.version + 1,
  step: (state, event, book) =>
    engineFold.step(
      state,
      event.type === 'film.processed'
        ? { ...event, data: { ...event.data, developer: { ...event.data.developer, time: 30 } } }
        : event.type === 'stepwedge.read'
          ? { ...event, type: 'waste.handedOver', data: { kind: 'foil' } }
          : event,
      book,
    ),
};

/** A site's stored findings and checkpoints are those of one code: another release judges it anew, from its ledger. */
describeEachDatabase('a site that another release has judged', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  /** A site as the other release leaves it, and a ledger of this one over the same database. */
  async function left() {
    const organisation = await organisationIn(database);
    const own = Object.assign(Object.create(database) as TestDatabase, { organisations: async () => [organisation] });
    const parts = { database: own, book: shipped, now: () => now, spacing: 4 };
    const before = new Intake(createLedger({ ...parts, fold: other }));
    const events = [
      configured(),
      ...Array.from({ length: 20 }, (_, day) => [
        strip(on(day), day % 6 === 4 ? 3 : 0),
        run(on(day, 30), 5, 68),
      ]).flat(),
    ];
    for (let at = 0; at < events.length; at += 5) await before.accept(organisation, events.slice(at, at + 5));
    await new Sweeper(before.ledger).sweep();
    const ledger = createLedger(parts);
    const known = () => checkpointsOf((work) => database.withOrganisation(organisation, work), organisation, 'north');
    expect((await known()).length).toBeGreaterThan(3);
    return {
      organisation,
      events,
      ledger,
      known,
      async isRight(): Promise<boolean> {
        const { swept_to } = await headOf(database, organisation, 'north');
        const told = expected(
          events.map(({ event }) => event),
          shipped,
          swept_to,
        );
        return canonicalJson(await standing(database, organisation, 'north')) === canonicalJson(told);
      },
    };
  }

  test('its findings are put right by a sweep, from the first event on; its checkpoints go', async () => {
    const { ledger, events, known, isRight } = await left();
    expect(await isRight()).toBe(false);
    expect(await new Sweeper(ledger).sweep()).toBe(1);
    expect(await isRight()).toBe(true);
    const after = await known();
    expect(after.length).toBeGreaterThan(3);
    for (const one of after) {
      expect(one.packs_hash).toBe(judgedUpTo({ ...ledger, book: ledger.books.shipped }, one.at));
      expect(one.events).toBe(events.filter(({ event }) => event.at <= one.at).length);
    }
    expect(await new Sweeper(ledger).sweep()).toBe(0);
  });

  test('the next event does the same, in its order or late', async () => {
    for (const next of [strip(on(21), 3), strip(on(12, 10), 3)]) {
      const { organisation, ledger, events, isRight } = await left();
      await new Intake(ledger).accept(organisation, [next]);
      events.push(next);
      expect(await isRight()).toBe(true);
      expect(ledger.counters.replayedEvents).toBeGreaterThanOrEqual(events.length);
    }
  });

  test('a view of it is by this release, before anything was put right', async () => {
    const { organisation, ledger, events } = await left();
    for (const at of [start + 11 * 86_400_000, now]) {
      const view = await stateAt(ledger, organisation, 'north', at);
      const then = events.map(({ event }) => event).filter((event) => event.at <= at);
      expect(canonicalJson(view?.state)).toBe(canonicalJson(foldSite(then, shipped, at).state));
    }
  });
});
