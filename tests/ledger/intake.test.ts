import { afterAll, beforeAll, beforeEach, expect, test } from '@jest/globals';
import { listRejected, listEvents, unjudgedSites } from '../../src/ledger/queries.js';
import { PackBook } from '../../src/packs/book.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { rejectedDays } from '../../src/ledger/rejected.js';
import { Traces } from '../../src/findings/traces.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { shipped } from '../scenarios/stage.js';
import { configured, run, strip, takenBack, told } from './office.js';
import { expected, headOf, organisationIn, standing, storedFindings } from './stored.js';

describeEachDatabase('intake', (open) => {
  let database: TestDatabase;
  let organisation: string;
  let intake: Intake;

  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());
  beforeEach(async () => {
    organisation = await organisationIn(database);
    intake = another();
  });

  function another(): Intake {
    return new Intake({ database, book: shipped, traces: new Traces({ strict: true }) });
  }
  const statuses = async (...events: Parameters<Intake['accept']>[1]) =>
    (await intake.accept(organisation, events)).results.map(({ status, faults }) => faults?.[0]?.code ?? status);

  test('accepts, knows repetitions, and refuses the same id with other content or at another site', async () => {
    const site = configured();
    const first = run('2026-01-05T09:00:00Z', 5, 68, { id: 'a' });
    expect(await statuses(site, first)).toEqual(['accepted', 'accepted']);
    expect(await statuses(first, site)).toEqual(['duplicate', 'duplicate']);
    expect(await statuses(run('2026-01-05T09:00:00Z', 4, 68, { id: 'a' }))).toEqual(['id-conflict']);
    const elsewhere = configured({ site: 'south' });
    expect(await statuses(elsewhere, run('2026-01-05T09:00:00Z', 5, 68, { id: 'a', site: 'south' }))).toEqual([
      'accepted',
      'id-conflict',
    ]);
    const stored = await listEvents(database, organisation, {}, { limit: 10 });
    expect(stored.items.map(({ site, id }) => `${site} ${id}`)).toHaveLength(3);
  });

  test('a repetition is one also when the packs that knew its obligation are gone', async () => {
    const at = '2026-01-05T09:00:00Z';
    const done = (id: string) => told('obligation.done', at, { obligation: 'us-wa-on-hand' }, { id });
    expect(await statuses(configured(), done('known'))).toEqual(['accepted', 'accepted']);
    intake = new Intake({ database, book: new PackBook([]), traces: new Traces({ strict: true }) });
    const other = told('obligation.done', at, { obligation: 'us-wa-on-hand', by: 'op-3' }, { id: 'known' });
    expect(await statuses(done('known'), done('new'), other)).toEqual([
      'duplicate',
      'unknown-obligation',
      'unknown-obligation',
    ]);
  });

  test('events of one batch may repeat each other, even as the same object', async () => {
    const event = run('2026-01-05T09:00:00Z', 5, 68, { id: 'b' });
    const other = run('2026-01-05T09:00:00Z', 5, 69, { id: 'b' });
    expect(await statuses(event, configured(), event, other)).toEqual([
      'accepted',
      'accepted',
      'duplicate',
      'id-conflict',
    ]);
    expect((await headOf(database, organisation, 'north')).events).toBe(2);
  });

  test('unknown sites, lines and units are refused with the nearest known name; the rest of the batch is kept', async () => {
    await intake.accept(organisation, [configured()]);
    const { results } = await intake.accept(organisation, [
      run('2026-01-05T09:00:00Z', 5, 68, { site: 'nort' }),
      told('bath.measured', '2026-01-05T09:00:00Z', { line: 'M2', bath: 'fixer', level: 'full' }),
      told('film.exposed', '2026-01-05T09:00:00Z', { film: 'F-1', tube: 'R11' }),
      run('2026-01-05T09:01:00Z', 5, 68),
    ]);
    expect(results.map(({ status, faults }) => [status, faults?.[0]?.code, faults?.[0]?.nearest])).toEqual([
      ['rejected', 'unknown-site', 'north'],
      ['rejected', 'unknown-line', 'M1'],
      ['rejected', 'unknown-tube', 'R1'],
      ['accepted', undefined, undefined],
    ]);
    const { items } = await listRejected(database, organisation, {}, { limit: 10 });
    expect(items.map(({ site, type, faults }) => [site, type, faults[0]?.code])).toEqual([
      ['north', 'film.exposed', 'unknown-tube'],
      ['north', 'bath.measured', 'unknown-line'],
      ['nort', 'film.processed', 'unknown-site'],
    ]);
  });

  test('a site may be configured later in its first batch, and a line by a configuration of the same batch', async () => {
    expect(await statuses(run('2026-01-05T09:00:00Z', 5, 68), configured())).toEqual(['accepted', 'accepted']);
    const more = configured({}, '2026-01-06T06:00:00Z', { lines: [{ id: 'A1', method: 'automatic' }] });
    const on = told('bath.measured', '2026-01-06T09:00:00Z', { line: 'A1', bath: 'fixer', level: 'full' });
    expect(await statuses(on, more)).toEqual(['accepted', 'accepted']);
    // A line ends, it is never removed: what is left out of a configuration stays known.
    expect(await statuses(run('2026-01-06T10:00:00Z', 5, 68))).toEqual(['accepted']);
  });

  test('a result names the findings that speak of the event, and a repetition learns the same', async () => {
    await intake.accept(organisation, [configured()]);
    const short = run('2026-01-05T09:00:00Z', 2, 68);
    const first = await intake.accept(organisation, [short]);
    const again = await intake.accept(organisation, [short]);
    expect(first.results[0]?.findings.length).toBeGreaterThan(0);
    expect(first.findings.opened).toEqual(expect.arrayContaining([...(first.results[0]?.findings ?? [])]));
    expect(again.results[0]).toEqual({ ...first.results[0], status: 'duplicate' });
    expect(again.findings).toEqual({ opened: [], cleared: [], withdrawn: [] });
    const rows = await storedFindings(database, organisation, 'north');
    const checks = rows.filter(({ detail }) => detail.kind === 'check');
    expect(checks.length).toBeGreaterThan(0);
    for (const { trace, agree } of checks) expect([typeof trace, agree]).toEqual(['object', true]);
    expect(intake.ledger.traces.counters).toEqual({ compared: checks.length, disagreed: 0 });
  });

  test('a late event, a retraction and a retraction that comes first give the findings of the whole ledger', async () => {
    const site = configured();
    const short = run('2026-01-06T09:00:00Z', 2, 68);
    const good = run('2026-01-07T09:00:00Z', 5, 68);
    const off = strip('2026-01-06T08:00:00Z', 3);
    const before = takenBack('2026-01-08T09:00:00Z', run('2026-01-06T11:00:00Z', 2, 68, { id: 'never' }));
    const late = run('2026-01-06T11:00:00Z', 2, 68, { id: 'never' });
    const events = [site, good, short, before, off, late];
    for (const event of events) await intake.accept(organisation, [event]);
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        events.map(({ event }) => event),
        shipped,
        0,
      ),
    );
    const back = takenBack('2026-01-08T10:00:00Z', short);
    const answer = await intake.accept(organisation, [back]);
    expect(answer.findings.withdrawn.length).toBeGreaterThan(0);
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        [...events, back].map(({ event }) => event),
        shipped,
        0,
      ),
    );
    const rows = await storedFindings(database, organisation, 'north');
    const withdrawn = rows.filter(({ state }) => state === 'withdrawn').map(({ id }) => id);
    expect(withdrawn).toEqual(expect.arrayContaining(answer.findings.withdrawn));
    // Taking back the retraction changes nothing.
    const { findings } = await intake.accept(organisation, [takenBack('2026-01-08T11:00:00Z', back)]);
    expect(findings).toEqual({ opened: [], cleared: [], withdrawn: [] });
  });

  test('a withdrawn finding comes back with the next revision when it is supported again', async () => {
    const working = told('film.processed', '2026-01-06T09:00:00Z', {
      line: 'C1',
      method: 'chairside',
      films: ['F-1'],
      purpose: 'working',
      developer: { time: { value: 15, unit: 's' } },
    });
    const refixed = told('film.refixed', '2026-01-06T12:00:00Z', {
      line: 'C1',
      films: ['F-1'],
      fixer: { time: { value: 10, unit: 'min' } },
      wash: { time: { value: 20, unit: 'min' } },
    });
    await intake.accept(organisation, [configured(), working, run('2026-01-09T09:00:00Z', 5, 68)]);
    const omitted = async () =>
      (await storedFindings(database, organisation, 'north')).filter(
        ({ detail }) => detail.kind === 'duty' && detail.line === 'C1' && detail.anchor?.id === working.event.id,
      );
    const [opened] = await omitted();
    expect(opened).toMatchObject({ state: 'open' });
    await intake.accept(organisation, [refixed]);
    expect(await omitted()).toMatchObject([
      { id: opened?.id, state: 'withdrawn', revision: (opened?.revision ?? 0) + 1 },
    ]);
    const { findings } = await intake.accept(organisation, [takenBack('2026-01-09T10:00:00Z', refixed)]);
    expect(findings.opened).toContain(opened?.id);
    expect(await omitted()).toEqual([{ ...opened, revision: (opened?.revision ?? 0) + 2 }]);
  });

  test('concurrent callers share commits, and each gets the results of its own events', async () => {
    await intake.accept(organisation, [configured()]);
    const before = intake.ledger.counters.commits;
    const events = Array.from({ length: 60 }, (_, index) =>
      run(`2026-01-05T09:${String(index).padStart(2, '0')}:00Z`, 5, 68, { id: `c-${index}` }),
    );
    const answers = await Promise.all(events.map((event) => intake.accept(organisation, [event])));
    expect(answers.map(({ results }) => results.map(({ id, status }) => `${id} ${status}`).join())).toEqual(
      events.map(({ event }) => `${event.id} accepted`),
    );
    expect(intake.ledger.counters.commits - before).toBeLessThan(10);
    expect((await headOf(database, organisation, 'north')).events).toBe(61);
  });

  test('two processes take turns at one site and neither trusts a state of its own that is out of date', async () => {
    const others = [intake, another()];
    const site = configured();
    const events = [site];
    await intake.accept(organisation, [site]);
    for (let day = 6; day < 16; day++) {
      const date = `2026-01-${String(day).padStart(2, '0')}`;
      const batch = [strip(`${date}T08:00:00Z`, day % 4), run(`${date}T09:00:00Z`, day % 5, 68)];
      events.push(...batch);
      await others[day % 2]?.accept(organisation, batch);
    }
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        events.map(({ event }) => event),
        shipped,
        0,
      ),
    );
  });

  test('two processes that write at the same time lose nothing', async () => {
    const second = another();
    await intake.accept(organisation, [configured(), configured({ site: 'south' })]);
    const events = Array.from({ length: 40 }, (_, index) =>
      run(`2026-01-05T10:${String(index).padStart(2, '0')}:00Z`, index % 6 || 5, 68, {
        site: index % 3 ? 'north' : 'south',
      }),
    );
    await Promise.all(
      events.map((event, index) => (index % 2 ? intake : second).accept(organisation, [event, ...events.slice(0, 3)])),
    );
    for (const name of ['north', 'south']) {
      const own = [configured({ site: name }), ...events].map(({ event }) => event).filter(({ site }) => site === name);
      const { items } = await listEvents(database, organisation, { sites: [name] }, { limit: 100 });
      expect(items).toHaveLength(own.length);
      expect((await standing(database, organisation, name)).length).toBe(expected(own, shipped, 0).length);
    }
  });

  test('an event that the database refuses costs none of the others', async () => {
    await intake.accept(organisation, [configured(), configured({ site: 'south' })]);
    const bad = run('2026-01-05T09:02:00Z', 5, 68);
    const poisoned = { ...bad, sent: { line: 'M1', note: 'a\u0000b' } };
    const { results } = await intake.accept(organisation, [
      run('2026-01-05T09:00:00Z', 5, 68),
      poisoned,
      run('2026-01-05T09:03:00Z', 5, 68),
      run('2026-01-05T09:04:00Z', 5, 68, { site: 'south' }),
    ]);
    expect(results.map(({ status, faults }) => faults?.[0]?.code ?? status)).toEqual([
      'accepted',
      'not-storable',
      'accepted',
      'accepted',
    ]);
    expect((await headOf(database, organisation, 'north')).events).toBe(3);
  });

  test('a site whose fold throws keeps its events and is reported; taking the event back heals it', async () => {
    const { fold } = createLedger({ database, book: shipped });
    const failing = {
      ...fold,
      step: (...[state, event, book]: Parameters<typeof fold.step>) => {
        if (event.data.note === 'boom') throw new Error('the fold fell over');
        return fold.step(state, event, book);
      },
    };
    intake = new Intake({ database, book: shipped, fold: failing });
    const north = configured();
    const south = configured({ site: 'south' });
    await intake.accept(organisation, [north, south]);
    const bad = told('bath.measured', '2026-01-05T09:00:00Z', {
      line: 'M1',
      bath: 'fixer',
      level: 'low',
      note: 'boom',
    });
    const short = run('2026-01-05T09:01:00Z', 2, 68, { site: 'south' });
    const { results } = await intake.accept(organisation, [bad, short]);
    expect(results.map(({ status, judgement, findings }) => [status, judgement, findings.length > 0])).toEqual([
      ['accepted', 'pending', false],
      ['accepted', undefined, true],
    ]);
    const mine = async () => (await unjudgedSites(database)).filter((one) => one.organisation === organisation);
    expect(await mine()).toEqual([{ organisation, site: 'north', reason: 'the fold fell over' }]);
    const next = run('2026-01-05T09:05:00Z', 2, 68);
    expect((await intake.accept(organisation, [next])).results[0]).toMatchObject({
      status: 'accepted',
      judgement: 'pending',
    });

    const back = takenBack('2026-01-05T10:00:00Z', bad);
    await intake.accept(organisation, [back]);
    await intake.background.settled();
    expect(await mine()).toEqual([]);
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        [north, bad, next, back].map(({ event }) => event),
        shipped,
        0,
      ),
    );
    expect(
      (await intake.accept(organisation, [run('2026-01-05T11:00:00Z', 5, 68)])).results[0]?.judgement,
    ).toBeUndefined();
  });

  test('a long ledger is replayed in the background; the answer says that the judgement is pending', async () => {
    intake = new Intake({ database, book: shipped, replayInline: 10 });
    const events = [
      configured(),
      ...Array.from({ length: 12 }, (_, day) => run(`2026-01-${day + 10}T09:00:00Z`, day % 5 || 5, 68)),
    ];
    await intake.accept(organisation, events);
    const late = run('2026-01-09T09:00:00Z', 2, 68);
    const answer = await intake.accept(organisation, [late]);
    expect(answer.results[0]).toMatchObject({ status: 'accepted', judgement: 'pending' });
    await intake.background.settled();
    expect(await standing(database, organisation, 'north')).toEqual(
      expected(
        [...events, late].map(({ event }) => event),
        shipped,
        0,
      ),
    );
    expect((await intake.accept(organisation, [late])).results[0]).toMatchObject({ status: 'duplicate' });
  });

  test('refused events are kept without their data, and forgotten after thirty days', async () => {
    let now = Date.parse('2026-02-01T00:00:00Z');
    const ledger = createLedger({ database, book: shipped, now: () => now });
    intake = new Intake(ledger);
    await intake.recordRejected(organisation, [
      {
        source: 'pms',
        id: '\ud800\u0000',
        site: 7,
        type: 'x'.repeat(1000),
        faults: [{ pointer: '', code: 'missing', message: 'a\u0000' }],
      },
    ]);
    const { items } = await listRejected(database, organisation, {}, { limit: 10 });
    expect(items).toEqual([
      {
        source: 'pms',
        id: '\ufffd\ufffd',
        site: null,
        type: null,
        receivedAt: now,
        faults: [{ pointer: '', code: 'missing', message: 'a\ufffd' }],
      },
    ]);
    now += rejectedDays * 86_400_000 + 1;
    await new Sweeper(ledger).sweep();
    expect((await listRejected(database, organisation, {}, { limit: 10 })).items).toEqual([]);
  });
});
