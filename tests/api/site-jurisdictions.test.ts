import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, event, office, startApi } from './server.js';

/** A jurisdiction that no pack speaks of switches its law off: never without a word. */
describeEachDatabase('jurisdictions of a site', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
  });
  afterAll(() => api.close());
  const silent = 'No pack in force here speaks of us-wa-king: nothing of its law is checked.';

  test('a slip of the pen is refused with the nearest name', async () => {
    const { body } = await api.put('/v1/sites/slip', { ...office, jurisdictions: ['us', 'us-wz'] }).expect(422);
    expect(body).toMatchObject({
      code: 'invalid-body',
      errors: [{ pointer: '/jurisdictions/1', code: 'unknown-jurisdiction', nearest: 'us-wa' }],
    });
    expect(body.errors[0].allowed).toEqual(expect.arrayContaining(['us', 'us-wa']));
    await api.get('/v1/sites/slip').expect(404);
  });

  test('a county without a pack yet is taken, and every answer says that nothing of its law is checked', async () => {
    const jurisdictions = ['us', 'us-wa', 'us-wa-king'];
    const warnings = [{ jurisdiction: 'us-wa-king', text: silent }];
    expect((await api.put('/v1/sites/county', { ...office, jurisdictions }).expect(201)).body).toMatchObject({
      jurisdictions,
      warnings,
    });
    for (const part of ['', '/board', '/limits'])
      expect((await api.get(`/v1/sites/county${part}`).expect(200)).body.warnings).toEqual(warnings);
    await api.put('/v1/sites/plain', office).expect(201);
    for (const part of ['', '/board', '/limits'])
      expect((await api.get(`/v1/sites/plain${part}`).expect(200)).body.warnings).toEqual([]);
  });

  test('an event is taken whatever it lists, and its result says so', async () => {
    const { timeZone: zone, ...rest } = office;
    const sent = event('site.configured', { ...rest, zone, jurisdictions: ['us', 'us-wz'] }, { site: 'by-event' });
    for (const status of ['accepted', 'duplicate']) {
      const { body } = await api.send(sent).expect(202);
      expect(body.results).toMatchObject([{ status, notice: expect.stringContaining('did you mean us-wa?') }]);
    }
    expect((await api.get('/v1/sites/by-event').expect(200)).body.warnings).toMatchObject([{ nearest: 'us-wa' }]);
    const plain = event('site.configured', { ...rest, zone }, { site: 'by-event' });
    expect((await api.send(plain).expect(202)).body.results[0]).not.toHaveProperty('notice');
  });
});
