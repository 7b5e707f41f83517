import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, run, startApi } from './server.js';

/** What is taken but changes nothing must not look as if it had. */
describeEachDatabase('names that nothing answers to', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());

  test('an obligation that no pack has is refused; those there are can be found', async () => {
    const sent = event('obligation.done', { obligation: 'us-wa-onhand' });
    const { body } = await api.send(sent).expect(422);
    expect(body.errors).toMatchObject([
      { pointer: '/data/obligation', code: 'unknown-obligation', nearest: 'us-wa-on-hand' },
    ]);
    expect(body.errors[0].allowed).toEqual(expect.arrayContaining(['us-wa-on-hand', 'mn-garment-check']));
    const lost = await api.send(event('obligation.done', { obligation: 'us-wa/office/garment-check' })).expect(422);
    expect(lost.body.errors[0].allowed).toContain('us-wa-on-hand');
    const packs = (await api.get('/v1/packs').expect(200)).body.items as {
      jurisdiction?: string;
      obligations: string[];
    }[];
    expect(packs.find(({ jurisdiction }) => jurisdiction === 'us-wa')?.obligations).toContain('us-wa-on-hand');
    const due = (await api.get('/v1/sites/brackenfold/due').expect(200)).body.items as { obligation?: string }[];
    expect(due.map(({ obligation }) => obligation)).toContain('us-wa-on-hand');
    // One bad name costs the others nothing.
    const batch = [event('obligation.done', { obligation: 'us-wa-on-hand' }), sent, run()];
    const statuses = (await api.send(batch).expect(200)).body.results as { status: string }[];
    expect(statuses.map(({ status }) => status)).toEqual(['accepted', 'rejected', 'accepted']);
  });

  test('a confirmed cause that no pack knows, and a name for several, teach nothing, and the result says so', async () => {
    const signs = ['light_image'];
    const review = event('film.reviewed', { film: 'F-77', grade: 'unacceptable', signs });
    await api.send(review).expect(202);
    const all = (await api.get('/v1/findings?site=brackenfold').expect(200)).body.items as {
      id: string;
      rule: string;
    }[];
    const finding = all.find(({ rule }) => rule === 'defects/why/causes')?.id;
    const said = async (rootCause: string) =>
      (
        (await api.send(event('cause.confirmed', { finding, rootCause })).expect(202)).body.results[0] as {
          notice?: string;
        }
      ).notice;
    expect(await said('dev_colt')).toMatch(
      /^dev_colt is no cause that the packs know; did you mean dev_cold\? It is kept/,
    );
    expect(await said('underdevelopment')).toMatch(/name for several causes: .*dev_cold/);
    expect((await api.get('/v1/sites/brackenfold/causes').expect(200)).body.items).toEqual([]);
    expect(await said('dev_cold')).toBeUndefined();
    const { body } = await api.get('/v1/sites/brackenfold/causes').expect(200);
    expect(body.items).toMatchObject([{ cause: 'dev_cold', group: 0 }]);
    expect(body.lessons).toMatchObject([{ finding, cause: 'dev_cold' }]);
    expect(body.items[0].now).toBeGreaterThan(body.items[0].published);
  });

  test('a temperature of the whole office counts for its only tank; with two it counts for none, and the result says so', async () => {
    const round = () => event('day.opened', { lids: true, temperature: { value: 68, unit: '[degF]' } });
    expect((await api.send(round()).expect(202)).body.results[0]).not.toHaveProperty('notice');
    await configureOffice(api, 'twotanks', {
      lines: [
        { id: 'M1', method: 'manual' },
        { id: 'A1', method: 'automatic' },
      ],
    });
    const { body } = await api.send({ ...round(), site: 'twotanks' }).expect(202);
    expect(body.results[0]).toMatchObject({ status: 'accepted', notice: expect.stringContaining('(M1, A1)') });
  });

  test('a run by another method than its line is set up for is judged as it says, and the result says so', async () => {
    await configureOffice(api, 'processor', {
      lines: [
        { id: 'M1', method: 'manual' },
        { id: 'A1', method: 'automatic' },
      ],
    });
    const sent = (line: string, method: string) =>
      event(
        'film.processed',
        { line, method, count: 2, fixer: { time: { value: 2, unit: 'min' } } },
        { site: 'processor' },
      );
    const byHand = sent('A1', 'manual');
    for (const status of ['accepted', 'duplicate'])
      expect((await api.send(byHand).expect(202)).body.results[0]).toMatchObject({
        status,
        notice: 'A1 is set up as automatic; this run says manual and is judged as such.',
        findings: expect.arrayContaining([expect.any(String)]),
      });
    for (const usual of [sent('A1', 'automatic'), sent('M1', 'manual')])
      expect((await api.send(usual).expect(202)).body.results[0]).not.toHaveProperty('notice');
  });

  test('words about a finding that is not there are kept, and the result says so', async () => {
    await api.send(run(3.5)).expect(202);
    // The finding of the run itself, at eight.
    const { body } = await api.get('/v1/findings?from=2026-03-11T08:00:00-07:00&to=2026-03-11T08:00:01-07:00');
    const { id: opened, rule, topic, openedAt } = body.items[0] as Record<string, string>;
    const later = { time: '2026-03-11T09:00:00-07:00' };
    const by = 'op-3';
    const notices = async (events: object[]) =>
      ((await api.send(events).expect(200)).body.results as { status: string; notice?: string }[]).map(
        ({ status, notice }) => [status, notice?.replace(/ at the site.*/, '')],
      );
    const events = [
      event('finding.acknowledged', { finding: opened, by }, later),
      event('finding.acknowledged', { finding: 'f-none', by }, later),
      event('finding.acknowledged', { rule, topic, instant: openedAt, by }, later),
      event('finding.acknowledged', { rule, topic, instant: '2026-03-11T07:00:00-07:00', by }, later),
      event('cause.confirmed', { rule, topic: 'line:none', instant: openedAt, rootCause: 'dev_cold', by }, later),
      // Said before it opened: it was not there to speak of.
      event('finding.acknowledged', { finding: opened, by }, { time: '2026-03-11T07:00:00-07:00' }),
      run(),
    ];
    const expected = [
      ['accepted', undefined],
      ['accepted', 'There is no finding f-none'],
      ['accepted', undefined],
      ['accepted', `There is no finding of ${rule} about ${topic}`],
      ['accepted', `There is no finding of ${rule} about line:none`],
      ['accepted', `There is no finding ${opened}`],
      ['accepted', undefined],
    ];
    expect(await notices(events)).toEqual(expected);
    expect(await notices(events)).toEqual(expected.map(([, notice]) => ['duplicate', notice]));
    for (const verb of ['acknowledge', 'snooze', 'resolve']) {
      const body = {
        acknowledge: {},
        snooze: { until: '2026-03-12', reason: 'x' },
        resolve: { rootCause: 'x', action: 'y' },
      };
      const answer = await api.post(`/v1/findings/f-none/${verb}`, body[verb as keyof typeof body]).expect(404);
      expect(answer.body.code).toBe('unknown-finding');
    }
  });
});
