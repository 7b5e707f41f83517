import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, event, office, startApi } from './server.js';

/** Two configurations of one instant have no order that anybody meant: the later word takes the earlier one back. */
describeEachDatabase('a site set up again for the same instant', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
  });
  afterAll(() => api.close());

  const validFrom = '2026-01-05T08:00:00-08:00';
  const name = async (site: string) => (await api.get(`/v1/sites/${site}`).expect(200)).body.name as string;
  const eventsOf = async (site: string) =>
    (await api.get(`/v1/events?site=${site}`).expect(200)).body.items as { type: string; id: string; data: object }[];

  // Names enough that ids made from their content would have fallen in either order.
  test.each(['one', 'two', 'three', 'four', 'five', 'six'])(
    'A, B, A again: the last word is in force (%s)',
    async (word) => {
      const site = `corrected-${word}`;
      const [a, b] = [`A ${word}`, `B ${word}`].map((name) => ({ ...office, name, validFrom }));
      if (a === undefined || b === undefined) throw new Error('two bodies');
      expect((await api.put(`/v1/sites/${site}`, a).expect(201)).body.name).toBe(a.name);
      expect((await api.put(`/v1/sites/${site}`, b).expect(200)).body.name).toBe(b.name);
      expect(await name(site)).toBe(b.name);
      expect((await api.put(`/v1/sites/${site}`, a).expect(200)).body.name).toBe(a.name);
      expect(await name(site)).toBe(a.name);
      const count = (await eventsOf(site)).length;
      // The same instant written in another zone is the same instant.
      await api.put(`/v1/sites/${site}`, { ...a, validFrom: '2026-01-05T16:00:00Z' }).expect(200);
      await api.put(`/v1/sites/${site}`, a).expect(200);
      expect((await eventsOf(site)).length).toBe(count);
      expect((await eventsOf(site)).map(({ type }) => type).sort()).toEqual([
        'event.retracted',
        'event.retracted',
        'site.configured',
        'site.configured',
        'site.configured',
      ]);
    },
  );

  test('without an instant of its own too: two words within one millisecond', async () => {
    for (const name of ['first', 'second', 'third', 'second']) {
      const { body } = await api.put('/v1/sites/quick', { ...office, name });
      expect(body.name).toBe(name);
    }
  });

  test('a mistaken change of zone for an instant can be taken back', async () => {
    const from = { ...office, validFrom };
    await api.put('/v1/sites/zoned', from).expect(201);
    await api.put('/v1/sites/zoned', { ...from, timeZone: 'America/Chicago' }).expect(200);
    expect((await api.get('/v1/sites/zoned')).body).toMatchObject({ timeZone: 'America/Chicago' });
    await api.put('/v1/sites/zoned', from).expect(200);
    expect((await api.get('/v1/sites/zoned')).body).toMatchObject({ timeZone: office.timeZone });
  });

  test('words said at once end as one of them, and the other is on record as taken back', async () => {
    const bodies = ['p', 'q', 'r', 's'].map((name) => ({ ...office, name, validFrom }));
    const answers = await Promise.all(bodies.map((body) => api.put('/v1/sites/at-once', body)));
    for (const { status } of answers) expect([200, 201]).toContain(status);
    const events = await eventsOf('at-once');
    const taken = new Set(
      events.flatMap(({ type, data }) => (type === 'event.retracted' ? [(data as { id: string }).id] : [])),
    );
    const standing = events.filter(({ type, id }) => type === 'site.configured' && !taken.has(id));
    expect(standing).toHaveLength(1);
    expect(await name('at-once')).toBe((standing[0]?.data as { name: string }).name);
  });

  test('what another sender configured at that very instant is not overruled', async () => {
    const { timeZone: zone, ...rest } = office;
    const config = { ...rest, zone };
    await api.send(event('site.configured', config, { id: 'theirs', site: 'shared', time: validFrom })).expect(202);
    const { body } = await api.put('/v1/sites/shared', { ...office, name: 'Ours', validFrom }).expect(409);
    expect(body).toMatchObject({ code: 'conflict', detail: expect.stringMatching(/pms.*theirs.*validFrom/s) });
    // What they said already may be said again, and after theirs is taken back ours counts.
    await api.put('/v1/sites/shared', { ...office, validFrom }).expect(200);
    await api
      .send(event('event.retracted', { source: 'pms', id: 'theirs', reason: 'x' }, { site: 'shared' }))
      .expect(202);
    expect((await api.put('/v1/sites/shared', { ...office, name: 'Ours', validFrom })).body.name).toBe('Ours');
  });
});
