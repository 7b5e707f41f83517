import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, office, run, startApi } from './server.js';

/** What a bound key may do reaches no farther than its bounds, whichever way it goes about it. */
describeEachDatabase('a bound key', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
    await configureOffice(api, 'tarnsett');
    await api.send([run(3.5), run(3.5, 71, { site: 'tarnsett' })]).expect(200);
  });
  afterAll(() => api.close());

  async function keyWith(scopes: string[], bound: object = {}): Promise<{ id: string; secret: string }> {
    return (await api.post('/v1/keys', { name: 'a test', scopes, ...bound }).expect(201)).body;
  }
  const as = (secret: string) => ({
    get: (path: string) => api.raw.get(path).set('Authorization', `Bearer ${secret}`),
    post: (path: string, body: object) => api.raw.post(path).set('Authorization', `Bearer ${secret}`).send(body),
    put: (path: string, body: object) => api.raw.put(path).set('Authorization', `Bearer ${secret}`).send(body),
    delete: (path: string) => api.raw.delete(path).set('Authorization', `Bearer ${secret}`),
  });
  const retracted = (source: string, id: string, more: object = {}) =>
    event('event.retracted', { source, id, reason: 'a test' }, { ...more });

  test('makes keys only within its own bounds', async () => {
    const own = as((await keyWith(['admin'], { sites: ['tarnsett', 'pellquay'], sources: ['pms', 'lims'] })).secret);
    const ask = { name: 'child', scopes: ['events:write'] };
    const within = { sites: ['tarnsett'], sources: ['pms'] };
    for (const [beyond, pointer] of [
      [{}, '/sites'],
      [{ sources: ['pms'] }, '/sites'],
      [{ ...within, sites: ['tarnsett', 'brackenfold'] }, '/sites/1'],
      [{ sites: ['tarnsett'] }, '/sources'],
      [{ ...within, sources: ['pms', 'somebody'] }, '/sources/1'],
    ] as const) {
      const { body } = await own.post('/v1/keys', { ...ask, ...beyond }).expect(403);
      expect(body).toMatchObject({ code: 'forbidden', errors: [{ pointer, code: 'forbidden' }, ...[]] });
      expect(JSON.stringify(body.errors[0].allowed)).toMatch(/tarnsett|pms/);
    }
    await own.post('/v1/keys', { ...ask, ...within }).expect(201);
    await own.post('/v1/keys', { ...ask, ...within, scopes: ['admin'] }).expect(201);
  });

  test('sees and revokes only keys within its own bounds', async () => {
    const [unbound, elsewhere, wider, inside] = await Promise.all([
      keyWith(['findings:read']),
      keyWith(['findings:read'], { sites: ['brackenfold'] }),
      keyWith(['findings:read'], { sites: ['tarnsett', 'brackenfold'] }),
      keyWith(['findings:read'], { sites: ['tarnsett'] }),
    ]);
    const bound = await keyWith(['admin'], { sites: ['tarnsett'] });
    const { body } = await as(bound.secret).get('/v1/keys').expect(200);
    const seen = (body.items as { id: string }[]).map(({ id }) => id);
    expect(seen).toEqual(expect.arrayContaining([inside.id, bound.id]));
    for (const { id } of [unbound, elsewhere, wider]) {
      expect(seen).not.toContain(id);
      expect((await as(bound.secret).delete(`/v1/keys/${id}`).expect(404)).body.code).toBe('unknown-key');
      await as((await keyWith(['admin'], { sources: ['pms'] })).secret)
        .delete(`/v1/keys/${id}`)
        .expect(404);
    }
    await as(unbound.secret).get('/v1/findings').expect(200);
    await as(bound.secret).delete(`/v1/keys/${inside.id}`).expect(204);
    await as(inside.secret).get('/v1/findings').expect(401);
  });

  test('does not read what is counted over all sites', async () => {
    for (const bound of [{ sites: ['tarnsett'] }, { sources: ['pms'] }]) {
      const { body } = await as((await keyWith(['admin'], bound)).secret)
        .get('/metrics')
        .expect(403);
      expect(body).toMatchObject({ code: 'forbidden', detail: expect.stringContaining('without bounds') });
    }
    await as((await keyWith(['admin'])).secret)
      .get('/metrics')
      .expect(200);
  });

  test('bound to senders: takes back only what those sent', async () => {
    const pms = await keyWith(['events:write', 'findings:write'], { sources: ['pms'] });
    await api.send(run(3.5, 71, { id: 'of-lims', source: 'lims' })).expect(202);
    const { body } = await api
      .send([retracted('lims', 'of-lims'), retracted('pms', 'unheard-of')], pms.secret)
      .expect(200);
    expect(body.results).toMatchObject([
      { status: 'rejected', problem: { code: 'forbidden', errors: [{ pointer: '/data/source', code: 'forbidden' }] } },
      { status: 'accepted' },
    ]);
    await api.send(retracted('stepwedge/api', 'whatever'), pms.secret).expect(403);
  });

  test('without findings:write: does not take back what people said of findings', async () => {
    const sender = await keyWith(['events:write']);
    const seen = event('finding.acknowledged', { finding: 'f-1', by: 'op-3' }, { id: 'seen-1' });
    await api.send(seen).expect(202);
    const { body } = await api
      .send([retracted('pms', 'seen-1'), run(4, 71, { id: 'to-go' }), retracted('pms', 'to-go')], sender.secret)
      .expect(200);
    expect(body.results).toMatchObject([
      { status: 'rejected', problem: { code: 'forbidden', detail: expect.stringContaining('findings:write') } },
      { status: 'accepted' },
      { status: 'accepted' },
    ]);
    // Whether the key may not, or nothing is there: of another site nothing is said.
    const elsewhere = await api.send(retracted('pms', 'seen-1', { site: 'tarnsett' }), sender.secret);
    expect(elsewhere.status).toBe(202);
    const both = await keyWith(['events:write', 'findings:write']);
    await api.send(retracted('pms', 'seen-1'), both.secret).expect(202);
  });

  test('bound to senders: what the API itself writes is sent by none of them', async () => {
    const pms = as((await keyWith(['events:write', 'findings:read', 'findings:write'], { sources: ['pms'] })).secret);
    const { body } = await pms.put('/v1/sites/brackenfold', office).expect(403);
    expect(body).toMatchObject({ code: 'forbidden', source: 'stepwedge/api' });
    await pms.put('/v1/sites/brand-new', office).expect(403);
    const open = (await api.get('/v1/findings?site=brackenfold&state=open').expect(200)).body.items as { id: string }[];
    await pms.post(`/v1/findings/${open[0]?.id}/acknowledge`, {}).expect(403);
    const also = as((await keyWith(['events:write'], { sources: ['pms', 'stepwedge/api'] })).secret);
    await also.put('/v1/sites/brand-new', office).expect(201);
  });

  test('is told nothing of other sites', async () => {
    const bound = await keyWith(['events:write', 'findings:read'], { sites: ['tarnset', 'tarnsett'] });
    // `tarnset` is not set up: the nearest names are those the key is for.
    const lost = await api.send(run(4, 71, { site: 'tarnset' }), bound.secret).expect(422);
    expect(lost.body.errors[0]).toMatchObject({ code: 'unknown-site', allowed: ['tarnsett'], nearest: 'tarnsett' });
    expect(lost.text).not.toContain('brackenfold');
    await api.send(run(4, 71, { id: 'taken', site: 'brackenfold' })).expect(202);
    const taken = await api.send(run(4, 71, { id: 'taken', site: 'tarnsett' }), bound.secret).expect(409);
    expect(taken.text).not.toContain('brackenfold');
    // Nor by what an unbound key was told about one of its sites.
    await api.send(run(4, 71, { site: 'tarnset' })).expect(422);
    await api.send(run(4, 71, { id: 'taken', site: 'tarnsett' })).expect(409);
    const rejected = await as(bound.secret).get('/v1/rejected').expect(200);
    expect((rejected.body.items as unknown[]).length).toBeGreaterThanOrEqual(4);
    expect(rejected.text).not.toContain('brackenfold');
  });
});
