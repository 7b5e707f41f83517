import { afterAll, beforeAll, beforeEach, expect, test } from '@jest/globals';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { createLedger, type Ledger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, run, takenBack, told } from './office.js';
import { expected, headOf, organisationIn, standing, storedFindings } from './stored.js';

const day = 86_400_000;

const strict = `pack: us/xx/age
version: 1.0.0
title: A made-up state
authority: Test
citation: { text: test, read: text }
layer: state
jurisdiction: us-xx
limits:
  - { id: chemistry-age, of: chemistry.age, max: 30 d, severity: law }
`;

describeEachDatabase('the sweeper', (open) => {
  let database: TestDatabase;
  let organisation: string;
  let now = 0;
  let ledger: Ledger;
  let intake: Intake;

  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());
  beforeEach(async () => {
    organisation = await organisationIn(database);
    now = Date.parse('2026-01-06T12:00:00Z');
    ledger = another();
    intake = new Intake(ledger);
  });

  /** Another process over the same database; sweeps go through this organisation only. */
  function another(book = shipped): Ledger {
    const own = Object.assign(Object.create(database) as TestDatabase, { organisations: async () => [organisation] });
    return createLedger({ database: own, book, now: () => now });
  }
  const working = () =>
    told('film.processed', '2026-01-06T09:00:00Z', {
      line: 'C1',
      method: 'chairside',
      films: ['F-1'],
      purpose: 'working',
      developer: { time: { value: 15, unit: 's' } },
    });
  const refixed = (time: string) =>
    told('film.refixed', time, {
      line: 'C1',
      films: ['F-1'],
      fixer: { time: { value: 10, unit: 'min' } },
      wash: { time: { value: 20, unit: 'min' } },
    });
  const omissions = async () =>
    (await storedFindings(database, organisation, 'north')).filter(
      ({ detail, state }) => detail.kind === 'duty' && detail.line === 'C1' && state !== 'withdrawn',
    );
  const changes = () =>
    database.withOrganisation(organisation, (tx) =>
      tx.query<{ change: string; cause: string }>('select change, cause from finding_change order by seq'),
    );

  test('opens what fell due with no event to show it, dated at its due instant, once among several processes', async () => {
    await intake.accept(organisation, [configured(), working()]);
    expect(await omissions()).toEqual([]);
    now += 3 * day;
    const { next_due: due } = await headOf(database, organisation, 'north');
    expect(due).toBeLessThan(now);
    await Promise.all([ledger, another(), another()].map((one) => new Sweeper(one).sweep()));
    const [omission, ...more] = await omissions();
    expect(more).toEqual([]);
    expect(omission?.detail).toMatchObject({ state: 'open', openedAt: omission?.detail.dueAt });
    expect(omission?.detail.openedAt).toBeLessThan(now - day);
    expect(omission?.revision).toBe(1);
    const count = (await changes()).filter(({ cause }) => cause === 'sweep').length;
    await new Sweeper(another()).sweep();
    expect((await changes()).filter(({ cause }) => cause === 'sweep')).toHaveLength(count);
  });

  test('opens what an event made fall due at its own instant, also after a sweep up to just there', async () => {
    const { pack } = readPack(strict, 'strict.yaml');
    const book = new PackBook([...shipped.packs, ...(pack === undefined ? [] : [pack])]);
    const back = configured({}, '2026-02-20T10:00:00Z', { jurisdictions: ['us', 'us-xx'] });
    const events = [configured({}, '2026-01-05T06:00:00Z', { jurisdictions: ['us'] })];
    await new Intake(another(book)).accept(organisation, events);
    now = back.event.at;
    await new Sweeper(another(book)).sweep();
    // The law of the place it joins gives a bath no more than the time that has passed.
    await new Intake(another(book)).accept(organisation, [back]);
    const all = [...events, back].map(({ event }) => event);
    expect((await headOf(database, organisation, 'north')).next_due).toBe(now);
    const oldBaths = async () =>
      (await storedFindings(database, organisation, 'north')).filter(
        ({ detail, state }) => detail.rule === 'common/chemistry-age/chemistry-age' && state === 'open',
      );
    expect(await oldBaths()).toEqual([]);
    now += 15_000;
    expect(await new Sweeper(another(book)).sweep()).toBe(1);
    expect(await new Sweeper(another(book)).sweep()).toBe(0);
    expect((await oldBaths()).map(({ detail }) => [detail.line, detail.openedAt])).toEqual([['M1', back.event.at]]);
    expect(await standing(database, organisation, 'north')).toEqual(expected(all, book, now));
  });

  test('what an event then shows not to have been owed is withdrawn; retracted again, it is back', async () => {
    const events = [configured(), working()];
    await intake.accept(organisation, events);
    now += 3 * day;
    await new Sweeper(ledger).sweep();
    const [swept] = await omissions();
    // Later than the last event, earlier than the sweep: not a late event, and yet it undoes what the sweep found.
    const done = refixed('2026-01-06T17:00:00Z');
    const answer = await intake.accept(organisation, [done]);
    expect(answer.findings.withdrawn).toEqual([swept?.id]);
    expect((await changes()).at(-1)).toEqual({ change: 'withdrawn', cause: 'live' });
    await intake.accept(organisation, [takenBack('2026-01-08T09:00:00Z', done)]);
    expect((await omissions()).map(({ id, revision }) => [id, revision])).toEqual([[swept?.id, 3]]);
  });

  test('a site judged by other packs is judged anew, and what only they found is withdrawn', async () => {
    const events = [configured(), run('2026-01-06T09:00:00Z', 2, 68), run('2026-01-06T10:00:00Z', 5, 68)];
    await intake.accept(organisation, events);
    const without = new PackBook(shipped.packs.filter(({ jurisdiction }) => jurisdiction !== 'us-wa'));
    expect(without.packs.length).toBeLessThan(shipped.packs.length);
    const other = another(without);
    expect(await new Sweeper(other).sweep()).toBe(1);
    const { swept_to } = await headOf(database, organisation, 'north');
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        events.map(({ event }) => event),
        without,
        swept_to,
      ),
    );
    expect((await changes()).some(({ cause, change }) => cause === 'replay' && change !== 'opened')).toBe(true);
    // Events that come before a sweep of the first process are judged by its packs, over the whole ledger.
    const more = run('2026-01-06T11:00:00Z', 2, 68);
    await intake.accept(organisation, [more]);
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        [...events, more].map(({ event }) => event),
        shipped,
        swept_to,
      ),
    );
  });

  test('a site that the fold fails on is left alone for a while, then judged when it can be', async () => {
    let broken = true;
    const fold = {
      ...ledger.fold,
      step: (...args: Parameters<Ledger['fold']['step']>) => {
        if (broken && args[1].type === 'bath.measured') throw new Error('broken');
        return ledger.fold.step(...args);
      },
    };
    const own = { ...ledger, fold };
    intake = new Intake(own);
    await intake.accept(organisation, [configured()]);
    await intake.accept(organisation, [
      told('bath.measured', '2026-01-06T09:00:00Z', { line: 'M1', bath: 'fixer', level: 'low' }),
    ]);
    const sweeper = new Sweeper(own, { patience: 60_000 });
    await sweeper.sweep();
    const tried = own.counters.foldFailures;
    await sweeper.sweep();
    expect(own.counters.foldFailures).toBe(tried);
    broken = false;
    now += 60_001;
    await sweeper.sweep();
    expect((await headOf(database, organisation, 'north')).unjudged).toBeNull();
  });

  test('a site whose time does not get on is reported as unjudged, keeps its events, and holds nobody up', async () => {
    let broken = true;
    const fold = {
      ...ledger.fold,
      advance: (...args: Parameters<Ledger['fold']['advance']>) => {
        if (broken && args[0].id === 'north') throw new Error('Time does not get on at the site north.');
        return ledger.fold.advance(...args);
      },
    };
    const own = { ...ledger, fold };
    const south = { site: 'south', source: 'other' };
    await new Intake(own).accept(organisation, [configured(), working(), configured(south)]);
    const sweeper = new Sweeper(own, { patience: 60_000 });
    now += 90 * day;
    expect(await sweeper.sweep()).toBe(2);
    expect((await headOf(database, organisation, 'north')).unjudged).toMatch(/^Time does not get on/);
    expect((await headOf(database, organisation, 'south')).unjudged).toBeNull();
    const tried = own.counters.foldFailures;
    await sweeper.sweep();
    expect(own.counters.foldFailures).toBe(tried);
    broken = false;
    now += 60_001;
    await sweeper.sweep();
    expect((await headOf(database, organisation, 'north')).unjudged).toBeNull();
    expect(await omissions()).toHaveLength(1);
  });

  test('starts at once, and when stopped writes nothing more', async () => {
    await intake.accept(organisation, [configured(), working()]);
    now += 3 * day;
    const sweeper = new Sweeper(ledger, { every: 5 });
    sweeper.start();
    for (let tries = 0; tries < 400 && (await omissions()).length === 0; tries++) {
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
    expect(await omissions()).toHaveLength(1);
    await sweeper.stop();
    const { sweeps } = ledger.counters;
    await new Promise((resolve) => setTimeout(resolve, 30));
    expect(ledger.counters.sweeps).toBe(sweeps);
  });

  test('a view as of an instant shows what fell due by then and changes nothing', async () => {
    await intake.accept(organisation, [configured(), working(), run('2026-01-06T10:00:00Z', 5, 68)]);
    const before = await changes();
    const early = await stateAt(ledger, organisation, 'north', Date.parse('2026-01-06T09:30:00Z'));
    const later = await stateAt(ledger, organisation, 'north', now + 3 * day);
    const owed = (view: typeof early) =>
      Object.values(view?.state.findings ?? {}).filter(({ kind, line }) => kind === 'duty' && line === 'C1').length;
    expect([owed(early), owed(later)]).toEqual([0, 1]);
    expect(early?.state.last?.at).toBe(Date.parse('2026-01-06T09:00:00Z'));
    expect(await stateAt(ledger, organisation, 'nowhere', now)).toBeNull();
    expect(await changes()).toEqual(before);
    // The copy was the reader's own: the next event is judged as if nobody had looked.
    await intake.accept(organisation, [refixed('2026-01-06T11:00:00Z')]);
    expect(owed(await stateAt(ledger, organisation, 'north', now + 3 * day))).toBe(0);
  });
});
