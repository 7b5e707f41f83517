import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, noon, office, run, startApi } from './server.js';

describeEachDatabase('sites', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());

  test('PUT makes a site, and says it again without another event', async () => {
    const body = { ...office, name: 'Pellquay', timeZone: 'America/Denver', jurisdictions: ['us', 'us-nm'] };
    await api.put('/v1/sites/pellquay', body).expect(201);
    const again = await api.put('/v1/sites/pellquay', body).expect(200);
    expect(again.body).toMatchObject({
      id: 'pellquay',
      events: 1,
      timeZone: 'America/Denver',
      workingDays: [1, 2, 3, 4, 5],
    });
    const dated = { ...body, validFrom: '2026-03-01T00:00:00-07:00' };
    await api.put('/v1/sites/pellquay', dated).expect(200);
    expect((await api.put('/v1/sites/pellquay', dated).expect(200)).body.events).toBe(2);
  });

  test('what was read can be sent back: quantities keep their meaning', async () => {
    const lines = [
      {
        id: 'M1',
        method: 'manual',
        volume: { value: 1, unit: '[gal_us]' },
        safelight: { power: { value: 15, unit: 'W' } },
      },
    ];
    const tubes = [{ id: 'R1', tubeVoltage: { value: 70, unit: 'kV' }, coneLength: { value: 16, unit: '[in_i]' } }];
    const { body } = await api.put('/v1/sites/quantities', { ...office, lines, tubes }).expect(201);
    expect(body.lines[0].volume).toEqual({ value: 3785.411784, unit: 'mL' });
    expect(body.tubes[0].coneLength).toEqual({ value: 406.4, unit: 'mm' });
    const { name, timeZone, jurisdictions, lines: read, tubes: readTubes } = body as typeof office;
    await api.put('/v1/sites/quantities', { name, timeZone, jurisdictions, lines: read, tubes: readTubes }).expect(200);
  });

  test('a change of zone waits for the next site-day, and is shown', async () => {
    await api.put('/v1/sites/moving', { ...office, validFrom: '2026-01-05T08:00:00-08:00' }).expect(201);
    const { body } = await api.put('/v1/sites/moving', { ...office, timeZone: 'America/Chicago' }).expect(200);
    expect(body).toMatchObject({ timeZone: 'America/Los_Angeles', next: { timeZone: 'America/Chicago' } });
  });

  test('faults point into the body', async () => {
    const wrong = {
      ...office,
      timeZone: 'America/Los_Angelos',
      validFrom: '2026-03-12T00:00:00',
      lines: [{ id: 'M1', metod: 'manual' }],
    };
    const { body } = await api.put('/v1/sites/brackenfold', wrong).expect(422);
    expect(body.errors).toEqual(
      expect.arrayContaining([
        expect.objectContaining({ pointer: '/timeZone', code: 'unknown-zone' }),
        expect.objectContaining({ pointer: '/validFrom' }),
        expect.objectContaining({ pointer: '/lines/0/metod', nearest: 'method' }),
      ]),
    );
    const future = await api.put('/v1/sites/brackenfold', { ...office, validFrom: '2027-03-12T00:00:00Z' }).expect(422);
    expect(future.body.errors).toEqual([expect.objectContaining({ pointer: '/validFrom', code: 'time-ahead' })]);
    expect(future.body.detail).toBe(
      '/validFrom is more than 10 minutes in the future; check the clock and the offset.',
    );
    const zone = await api.put('/v1/sites/brackenfold', { ...office, zone: 'America/Chicago' }).expect(422);
    expect(zone.body.errors).toEqual([expect.objectContaining({ pointer: '/zone', code: 'unknown-field' })]);
  });

  test('sites are listed', async () => {
    const { body } = await api.get('/v1/sites').expect(200);
    expect((body.items as { id: string }[]).map(({ id }) => id)).toEqual(
      expect.arrayContaining(['brackenfold', 'pellquay']),
    );
    const first = await api.get('/v1/sites?limit=1').expect(200);
    const second = await api.get(`/v1/sites?limit=1&cursor=${first.body.next as string}`).expect(200);
    expect(second.body.items[0].id > first.body.items[0].id).toBe(true);
  });

  test('the board: state, cards, due and weekly list, with the caution', async () => {
    await api.send(event('stepwedge.read', { line: 'M1', difference: { steps: 3, direction: 'lighter' } })).expect(202);
    const { body } = await api.get('/v1/sites/brackenfold/board').expect(200);
    expect(body).toMatchObject({ site: 'brackenfold', at: new Date(noon).toISOString(), state: 'hold' });
    expect((body.lines as { id: string; state: string }[]).find(({ id }) => id === 'M1')?.state).toBe('hold');
    expect((body.cards as unknown[]).length).toBeGreaterThan(0);
    expect(body.caution).toMatch(/dentist decides/);
  });

  test('what cannot be judged: since when, what it lacks, what to send', async () => {
    const run = { line: 'M1', method: 'manual', count: 2, developer: { temperature: { value: 70, unit: '[degF]' } } };
    await api.send(event('film.processed', run)).expect(202);
    const { body } = await api.get('/v1/sites/brackenfold/not-evaluable').expect(200);
    expect(body).toMatchObject({ site: 'brackenfold', caution: expect.stringMatching(/dentist decides/) });
    const items = body.items as { rule: string; line?: string }[];
    expect(items.find(({ rule }) => rule === 'common/processing-times/development-short')).toMatchObject({
      kind: 'check',
      line: 'M1',
      count: 1,
      since: '2026-03-11T15:00:00.000Z',
      missing: [
        {
          fact: 'run.developer.time',
          why: 'missing',
          send: [{ event: 'film.processed', with: {}, fields: ['developer.time'] }],
        },
      ],
      text: 'Not evaluable at M1 since Wed 11 Mar: no time in the developer on record; send film.processed with developer.time.',
    });
    const { body: before } = await api
      .get('/v1/sites/brackenfold/not-evaluable?at=2026-03-11T07:59:59-07:00')
      .expect(200);
    expect((before.items as { rule: string }[]).map(({ rule }) => rule)).not.toContain(
      'common/processing-times/development-short',
    );
    await api.get('/v1/sites/nowhere/not-evaluable').expect(404);
  });

  test('as of an instant before the event the line is not held; an offset may be written with a bare plus', async () => {
    const before = await api.get('/v1/sites/brackenfold/board?at=2026-03-11T07:59:59-07:00').expect(200);
    expect((before.body.lines as { id: string; state: string }[]).find(({ id }) => id === 'M1')?.state).not.toBe(
      'hold',
    );
    await api.get('/v1/sites/brackenfold/board?at=2026-03-11T17:00:00+01:00').expect(200);
  });

  test('what is due, with the last working day before it', async () => {
    const changed = (bath: string) =>
      event('chemistry.changed', { line: 'M1', bath, by: 'op-3' }, { time: '2026-01-08T12:30:00-08:00' });
    await api.send([changed('developer'), changed('fixer')]).expect(200);
    const { body } = await api.get('/v1/sites/brackenfold/due?at=2026-03-02T08:00:00-08:00').expect(200);
    const item = (body.items as { rule: string; text: string; due: string; listed: boolean; baths: string[] }[]).find(
      ({ rule }) => rule === 'common/chemistry-age/chemistry-age',
    );
    expect(item).toMatchObject({ due: '2026-03-09T07:00:00.000Z', lastWorkingDay: '2026-03-06', listed: true });
    expect(item?.text).toContain('Fri 6 Mar');
    expect(body.caution).toMatch(/dentist decides/);
  });

  test('effective limits with their chain', async () => {
    const { body } = await api.get('/v1/sites/brackenfold/limits').expect(200);
    const items = body.items as {
      limit: string;
      line?: string;
      chain: { layer: string; citation: { text: string } }[];
    }[];
    const limit = items.find(({ limit, line }) => limit === 'development-time-min' && line === 'M1');
    expect(limit?.chain.map(({ layer }) => layer)).toEqual(expect.arrayContaining(['state', 'practice']));
    expect(body.caution).toMatch(/dentist decides/);
  });

  test('limits are written as people read them, and as their packs write them', async () => {
    const { body } = await api.get('/v1/sites/brackenfold/limits').expect(200);
    const bounds = (id: string) =>
      (body.items as { limit: string; line?: string; chain: object[] }[])
        .filter(({ limit, line }) => limit === id && (line ?? 'M1') === 'M1')
        .flatMap(({ chain }) => chain);
    expect(bounds('wedge-steps')).toMatchObject([{ max: { text: '2', value: 2, unit: '1' } }]);
    expect(bounds('darkroom-fog')).toMatchObject([{ max: { text: '0.05', value: 0.05, unit: '1' } }]);
    expect(bounds('developer-temperature')).toMatchObject([
      { min: { text: '60 F', value: 60, unit: '[degF]' }, max: { text: '80 F' }, target: { min: '68 F', max: '70 F' } },
    ]);
    expect(bounds('fixing-time-by-clearing')).toMatchObject([
      { min: { text: '2 × time for an unexposed film to clear' } },
    ]);
    const [state] = bounds('development-time-min') as { min: { text: string; chart: { rows: object[] } } }[];
    expect(state?.min.text).toBe('by chart: Washington time-temperature chart');
    expect(state?.min.chart).toMatchObject({ units: { by: '[degF]', gives: 'min' } });
    expect(state?.min.chart.rows).toContainEqual({ key: 71, value: 4 });
    expect(state?.min.chart.rows).toContainEqual({ key: 66, value: 5.5 });
  });

  test('what is not there, and what lies too far ahead', async () => {
    for (const part of ['', '/board', '/limits', '/due', '/baths']) {
      expect((await api.get(`/v1/sites/nowhere${part}`).expect(404)).body.code).toBe('unknown-site');
    }
    const { body } = await api.get('/v1/sites/brackenfold/due?at=2030-01-01T00:00:00Z').expect(400);
    expect(body.errors).toEqual([expect.objectContaining({ pointer: 'at', code: 'out-of-range' })]);
    // Before the site was set up there is nothing to be clear about.
    const early = await api.get('/v1/sites/brackenfold/board?at=1970-01-01T00:00:00Z').expect(404);
    expect(early.body).toMatchObject({ code: 'unknown-site', detail: expect.stringContaining('not set up yet') });
  });

  test('400 days ahead is worked out in good time', async () => {
    await api.send(run()).expect(202);
    const began = performance.now();
    await api.get('/v1/sites/brackenfold/due?at=2027-04-10T00:00:00Z').expect(200);
    expect(performance.now() - began).toBeLessThan(10_000);
  });
});
