import { afterAll, beforeAll, beforeEach, describe, expect, test } from '@jest/globals';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { createLedger, type Ledger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, run, strip, told } from './office.js';
import { expected, headOf, organisationIn, standing, storedFindings } from './stored.js';

const hour = 3_600_000;
const day = 24 * hour;
const first = Date.parse('2026-01-06T12:00:00Z');

describeEachDatabase('time and the ledger', (open) => {
  let database: TestDatabase;
  let organisation: string;
  let now = first;

  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());
  beforeEach(async () => {
    organisation = await organisationIn(database);
    now = first;
  });

  /** A process of its own over the database. */
  function another(): Ledger {
    const own = Object.assign(Object.create(database) as TestDatabase, { organisations: async () => [organisation] });
    return createLedger({ database: own, book: shipped, now: () => now });
  }
  const site = (zone: string) => configured({}, '2026-01-05T06:00:00Z', { zone });
  const busy = (zone: string) => [
    site(zone),
    told('chemistry.changed', '2026-01-06T09:00:00Z', { line: 'M1', bath: 'developer', by: 'op-2' }),
    told('chemistry.changed', '2026-01-06T09:05:00Z', { line: 'M1', bath: 'fixer', by: 'op-2' }),
    strip('2026-01-06T09:30:00Z', 0),
    run('2026-01-06T10:00:00Z', 2, 68),
    told('film.processed', '2026-01-06T11:00:00Z', {
      line: 'C1',
      method: 'chairside',
      films: ['F-1'],
      purpose: 'working',
      developer: { time: { value: 15, unit: 's' } },
    }),
  ];
  const opened = () =>
    database.withOrganisation(organisation, (tx) =>
      tx.query<{ finding: string; cause: string; at: number }>(
        `select finding, cause, at::float8 as at from finding_change
         where organisation = $1 and change = 'opened' order by seq`,
        organisation,
      ),
    );

  test.each(['America/Los_Angeles', 'Australia/Lord_Howe', 'Asia/Beirut'])(
    'a year of nobody posting in %s, swept by two at once: each finding opens once, dated at its due instant',
    async (zone) => {
      const events = busy(zone);
      await new Intake(another()).accept(organisation, events);
      const sweepers = [another(), another()].map((ledger) => new Sweeper(ledger));
      for (let n = 0; n < 52; n++) {
        now += 7 * day + hour;
        await Promise.all(sweepers.map((sweeper) => sweeper.sweep()));
      }
      const swept = (await opened()).filter(({ cause }) => cause === 'sweep');
      expect(swept.length).toBeGreaterThan(1);
      expect(new Set(swept.map(({ finding }) => finding)).size).toBe(swept.length);
      const rows = new Map((await storedFindings(database, organisation, 'north')).map((row) => [row.id, row]));
      for (const { finding, at } of swept) {
        const detail = rows.get(finding)?.detail;
        expect(detail?.openedAt).toBeGreaterThanOrEqual(detail?.dueAt ?? Infinity);
        // Noticed by the next sweep, not dated by it.
        expect(detail?.openedAt).toBeLessThanOrEqual(at);
        expect(at - (detail?.openedAt ?? 0)).toBeLessThanOrEqual(7 * day + hour);
        expect((detail?.openedAt ?? 0) % 1000).toBe(0);
      }
      const weekly = await standing(database, organisation, 'north');
      // One sweep after the whole year finds the same.
      const alone = await organisationIn(database);
      const own = Object.assign(Object.create(database) as TestDatabase, { organisations: async () => [alone] });
      const once = createLedger({ database: own, book: shipped, now: () => now });
      await new Intake(once).accept(alone, events);
      expect(await new Sweeper(once).sweep()).toBe(1);
      expect(await standing(database, alone, 'north')).toEqual(weekly);
      const { next_due } = await headOf(database, organisation, 'north');
      expect((await headOf(database, alone, 'north')).next_due).toBe(next_due);
      expect(weekly).toEqual(
        expected(
          events.map(({ event }) => event),
          shipped,
          now,
        ),
      );
    },
  );

  test('an event after a silent year is judged after all that fell due in it, swept or not', async () => {
    const events = busy('America/Chicago');
    const swept = another();
    await new Intake(swept).accept(organisation, events);
    now += 200 * day;
    await new Sweeper(swept).sweep();
    now += 165 * day;
    const late = run('2027-01-06T15:00:00Z', 5, 68);
    await new Intake(another()).accept(organisation, [late]);
    const all = [...events, late].map(({ event }) => event);
    expect(await standing(database, organisation, 'north')).toEqual(expected(all, shipped, 0));
  });

  test('an event of a clock that runs ahead is kept at its own time; what others send meanwhile comes before it', async () => {
    const events = busy('America/Chicago');
    const ledger = another();
    const intake = new Intake(ledger);
    await intake.accept(organisation, events);
    const ahead = run('2026-01-06T12:09:00Z', 2, 68);
    const behind = run('2026-01-06T12:03:00Z', 5, 68);
    await intake.accept(organisation, [ahead]);
    await new Sweeper(ledger).sweep();
    expect((await headOf(database, organisation, 'north')).last_at).toBe(now + 9 * 60_000);
    await intake.accept(organisation, [behind]);
    await new Sweeper(ledger).sweep();
    const all = [...events, ahead, behind].map(({ event }) => event);
    expect(await standing(database, organisation, 'north')).toEqual(expected(all, shipped, 0));
  });

  test('any past instant shows what was known as of then', async () => {
    const events = [...busy('America/Denver'), run('2026-04-01T15:00:00Z', 5, 68), strip('2026-04-01T15:30:00Z', 4)];
    const ledger = another();
    await new Intake(ledger).accept(organisation, events);
    now += 120 * day;
    await new Sweeper(ledger).sweep();
    const moments = events.map(({ event }) => event.at);
    for (const at of [...moments, ...moments.map((one) => one - 1), first + 20 * day, first + 61 * day, now]) {
      const view = await stateAt(ledger, organisation, 'north', at);
      const then = foldSite(
        events.map(({ event }) => event).filter((event) => event.at <= at),
        shipped,
        at,
      );
      expect(JSON.parse(JSON.stringify(view?.state))).toEqual(JSON.parse(JSON.stringify(then.state)));
    }
  });
});

describe("a sender's clock that runs ahead", () => {
  const now = Date.parse('2026-02-28T12:00:00Z');
  const at = (ahead: number, aheadLimit?: number) =>
    decode(
      {
        specversion: '1.0',
        type: 'waste.handedOver',
        time: new Date(now + ahead).toISOString(),
        site: 'north',
        source: 'pms',
        id: 'e-1',
        data: { kind: 'foil' },
      },
      { now, hashPatient: (token) => token, ...(aheadLimit === undefined ? {} : { aheadLimit }) },
    );

  test('is believed up to the limit: the event keeps its own time', () => {
    for (const ahead of [0, 1, 599_999, 600_000]) {
      const answer = at(ahead);
      expect(answer.ok && (answer.event as AnyEvent).at).toBe(now + ahead);
    }
  });

  test('is refused beyond it', () => {
    for (const [ahead, limit] of [
      [600_001, undefined],
      [day, undefined],
      [hour + 1, hour],
    ] as const) {
      const answer = at(ahead, limit);
      expect(answer.ok).toBe(false);
      expect(answer.ok ? [] : answer.faults.map(({ pointer, code }) => [pointer, code])).toEqual([
        ['/time', 'time-ahead'],
      ]);
    }
  });
});
