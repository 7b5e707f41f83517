import { afterAll, beforeAll, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { TrialError, whatIf, type WhatIfRequest } from '../../src/ledger/what-if.js';
import type { Pack } from '../../src/packs/model.js';
import { tried } from '../../src/trials/what-if/index.js';
import { histories, site } from '../oracle/histories.js';
import { books } from '../oracle/publications.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { difference, listed } from '../trials/difference.js';
import { configured, run, strip, told } from './office.js';
import { organisationIn } from './stored.js';

const runs = process.env['STEPWEDGE_LONG'] ? 100 : 4;
const day = 86_400_000;

const named = (id: string, among: readonly Pack[] = shipped.packs): Pack => {
  const found = among.find((pack) => pack.id === id);
  if (found === undefined) throw new Error(`no pack ${id}`);
  return found;
};
/** Packs as somebody may try them: a new one, two changed ones, one that ends, one of law. */
const candidates: readonly (readonly Pack[])[] = [
  [named('clinic/own', books[1]?.packs)],
  [{ ...named('common/chemistry-age'), rules: named('common/chemistry-age').rules.slice(1) }],
  [{ ...named('common/wedge'), to: '2026-02-14' }, named('clinic/own', books[3]?.packs)],
  [{ ...named('us-wa/processing'), limits: named('us-wa/processing').limits.slice(1) }],
];

const tables = [
  'organisation',
  'api_key',
  'event_key',
  'event',
  'rejected_event',
  'site_head',
  'finding',
  'finding_change',
  'admin_change',
  'checkpoint',
];

/** Every row of every table, as text. */
async function everything(database: TestDatabase, organisation: string): Promise<string[]> {
  return database.withOrganisation(organisation, async (tx) => {
    const all: string[] = [];
    for (const table of tables)
      for (const row of await tx.query<{ row: string }>(`select t::text as row from ${table} t order by 1`))
        all.push(`${table} ${row.row}`);
    return all;
  });
}

describeEachDatabase('what would have been found, from a ledger', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  test('is the difference of two whole folds, from the first event or from a checkpoint, and nothing is written', async () => {
    const seen = { differences: 0, checkpoints: 0 };
    await fc.assert(
      fc.asyncProperty(
        histories({ min: 20, max: 60 }),
        fc.constantFrom(...candidates),
        fc.option(fc.integer({ min: 20, max: 90 })),
        async (history, packs, on) => {
          const organisation = await organisationIn(database);
          const ledger = createLedger({ database, book: shipped, now: () => history.until, spacing: 4 });
          const intake = new Intake(ledger);
          const all = history.events.map(({ type, time, data, source, id }) =>
            told(type, time, data, { site, source, id }),
          );
          for (const one of all) await intake.accept(organisation, [one]);
          const own = Object.assign(Object.create(database) as TestDatabase, {
            organisations: async () => [organisation],
          });
          await new Sweeper(createLedger({ database: own, book: shipped, now: () => history.until })).sweep();
          const before = await everything(database, organisation);
          seen.checkpoints += before.filter((row) => row.startsWith('checkpoint')).length;

          const first = Math.min(...all.map(({ event }) => event.at));
          const from = on === null ? undefined : first + on * day;
          const answer = await whatIf(database, organisation, {
            ...{ present: shipped.editions, packs, from, to: history.until },
          });
          const events = all.map(({ event }) => event);
          const expected = difference(events, shipped.editions, tried(shipped.editions, packs, from), history.until);
          expect(listed(answer)).toEqual(expected);
          expect(await everything(database, organisation)).toEqual(before);
          seen.differences += expected.added.length + expected.removed.length + expected.changed.length;
        },
      ),
      { numRuns: runs },
    );
    if (runs > 10) for (const [what, count] of Object.entries(seen)) expect([what, count > 0]).toEqual([what, true]);
  }, 600_000);

  test('begins at a checkpoint, keeps to its sites and its cap, and stops when nobody waits', async () => {
    const organisation = await organisationIn(database);
    const intake = new Intake(createLedger({ database, book: shipped, spacing: 4 }));
    for (const name of ['north', 'south']) {
      const also = { site: name };
      const days = Array.from({ length: 20 }, (_, n) => `2026-01-${String(n + 6).padStart(2, '0')}`);
      const mornings = days.map((date) => [strip(`${date}T08:00:00Z`, 2, also), run(`${date}T09:00:00Z`, 5, 68, also)]);
      await intake.accept(organisation, [configured(also)]);
      for (const morning of mornings) await intake.accept(organisation, morning);
    }
    const wedge = named('common/wedge');
    const stricter = {
      ...wedge,
      limits: wedge.limits.map((limit) =>
        limit.max?.kind === 'quantity'
          ? {
              ...limit,
              max: { kind: 'quantity' as const, quantity: { ...limit.max.quantity, value: 1, canonical: 1 } },
            }
          : limit,
      ),
    };
    const ask = (more: Partial<WhatIfRequest>) =>
      whatIf(database, organisation, {
        ...{ present: shipped.editions, packs: [stricter], to: Date.parse('2026-01-26T00:00:00Z') },
        ...more,
      });

    const all = await ask({});
    expect(all).toMatchObject({ events: 82, sites: 2, failed: [] });
    expect(all.bySite.map(({ site }) => site).sort()).toEqual(['north', 'south']);
    const late = await ask({ from: Date.parse('2026-01-20T00:00:00Z'), sites: ['south'] });
    expect(late.sites).toBe(1);
    expect(late.events).toBeLessThan(41 - 20);
    expect(late.added.map(({ finding }) => finding.openedAt)).toEqual([Date.parse('2026-01-20T08:00:00Z')]);

    await expect(ask({ sites: ['south', 'west'] })).rejects.toThrow(/no site west/);
    await expect(ask({ most: 50 })).rejects.toThrow(/more than 50 events .*stepwedge packs what-if/);
    expect((await ask({ most: 50, sites: ['south'] })).events).toBe(41);
    let asked = 0;
    await expect(ask({ goOn: () => ++asked < 2 })).rejects.toThrow(TrialError);
    expect(asked).toBe(2);
  });
});
