import { afterAll, afterEach, beforeAll, describe, expect, test } from '@jest/globals';
import type { Response } from 'supertest';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, adminKey, configureOffice, event, run, startApi, patiently } from './server.js';

describeEachDatabase('keys', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
    await configureOffice(api, 'tarnsett');
    await api.send([run(3.5), run(3.5, 71, { site: 'tarnsett' })]).expect(200);
  });
  afterAll(() => api.close());

  async function keyWith(scopes: string[], bound: object = {}): Promise<string> {
    const { body } = await api.post('/v1/keys', { name: 'a test', scopes, ...bound }).expect(201);
    return body.secret as string;
  }
  const get = (path: string, key: string): Promise<Response> =>
    api.raw
      .get(path)
      .set('Authorization', `Bearer ${key}`)
      .then((response) => response);

  describe('without a valid key', () => {
    const cases: [string, string | undefined][] = [
      ['none', undefined],
      ['another scheme', 'Basic dXNlcjpwYXNz'],
      ['nothing after the scheme', 'Bearer '],
      ['a guess', 'Bearer guess'],
      ['the form of a key', `Bearer sw.main.aaaaaaaaaaaa.${'A'.repeat(43)}`],
      ['another organisation', `Bearer sw.other.aaaaaaaaaaaa.${'A'.repeat(43)}`],
      ['a megabyte is no header, a kilobyte is no key', `Bearer ${'k'.repeat(1024)}`],
      ['almost the right one', `Bearer ${adminKey}x`],
    ];
    test.each(cases)('401: %s', async (_, header) => {
      const asking = api.raw.get('/v1/findings');
      const { body, headers } = await (header === undefined ? asking : asking.set('Authorization', header)).expect(401);
      expect(body.code).toBe('unauthorised');
      expect(headers['www-authenticate']).toMatch(/^Bearer realm="stepwedge"/);
    });

    test('a body is not read before the key is known', async () => {
      const sending = api.raw
        .post('/v1/events')
        .set('Content-Type', 'application/json')
        .send('x'.repeat(9 * 1024 * 1024));
      // The answer may come while the body is still on its way; the connection is closed then.
      const status = await sending.then(({ status }) => status).catch((error: NodeJS.ErrnoException) => error.code);
      expect([401, 'ECONNRESET', 'EPIPE']).toContain(status);
    });
  });

  test('a scope that is missing is named', async () => {
    const sender = await keyWith(['events:write']);
    const { body, headers, status } = await get('/v1/findings', sender);
    expect(status).toBe(403);
    expect(body).toMatchObject({ code: 'forbidden', scope: 'findings:read' });
    expect(headers['www-authenticate']).toContain('scope="findings:read"');
    await api.send(run(), sender).expect(202);
    const reader = await keyWith(['findings:read']);
    expect((await get('/v1/findings', reader)).status).toBe(200);
    expect((await api.send(run(), reader).expect(403)).body.scope).toBe('events:write');
    expect((await get('/v1/keys', reader)).status).toBe(403);
  });

  test('events of people need findings:write too', async () => {
    const sender = await keyWith(['events:write']);
    const acknowledged = event('finding.acknowledged', { finding: 'f-1', by: 'op-3' });
    const { body } = await api.send([acknowledged, run()], sender).expect(200);
    expect(body.results).toMatchObject([
      { status: 'rejected', problem: { status: 403, code: 'forbidden' } },
      { status: 'accepted' },
    ]);
    await api.send(acknowledged, await keyWith(['events:write', 'findings:write'])).expect(202);
  });

  test('a key for one site sees and writes only there', async () => {
    const bound = await keyWith(['events:write', 'findings:read', 'findings:write'], { sites: ['tarnsett'] });
    const { body } = await api.send([run(), run(4, 71, { site: 'tarnsett' })], bound).expect(200);
    expect(body.results).toMatchObject([
      { status: 'rejected', problem: { code: 'forbidden', errors: [{ pointer: '/site' }] } },
      { status: 'accepted' },
    ]);
    for (const list of ['/v1/findings', '/v1/events', '/v1/rejected']) {
      const seen = (await get(list, bound)).body.items as { site: string }[];
      expect(seen.every(({ site }) => site === 'tarnsett')).toBe(true);
    }
    const { body: feed } = await patiently(
      () => get('/v1/findings/changes', bound),
      ({ body }) => (body.items as unknown[]).length > 0,
    );
    const changes = feed.items as { site: string }[];
    expect(new Set(changes.map(({ site }) => site))).toEqual(new Set(['tarnsett']));
    expect(((await get('/v1/sites', bound)).body.items as { id: string }[]).map(({ id }) => id)).toEqual(['tarnsett']);
    expect((await get('/v1/findings?site=brackenfold', bound)).status).toBe(403);
    expect((await get('/v1/sites/brackenfold/board', bound)).status).toBe(403);
    const { body: all } = await api.get('/v1/findings?site=brackenfold').expect(200);
    const other = (all.items as { id: string }[])[0]?.id;
    expect((await get(`/v1/findings/${other}`, bound)).status).toBe(404);
    await api.raw
      .post(`/v1/findings/${other}/acknowledge`)
      .set('Authorization', `Bearer ${bound}`)
      .send({})
      .expect(404);
    await api.raw.put('/v1/sites/brackenfold').set('Authorization', `Bearer ${bound}`).send({}).expect(422);
  });

  test('a key for one sender sends as nobody else, and nobody sends as the server', async () => {
    const bound = await keyWith(['events:write'], { sources: ['pms'] });
    const { body } = await api.send([run(), run(4, 71, { source: 'somebody' })], bound).expect(200);
    expect(body.results).toMatchObject([
      { status: 'accepted' },
      { problem: { errors: [{ pointer: '/source', code: 'forbidden' }] } },
    ]);
    await api.send(run(4, 71, { source: 'stepwedge/api' })).expect(403);
  });

  test('keys are listed without secrets and revoked at once', async () => {
    const made = (
      await api.post('/v1/keys', { name: 'short life', scopes: ['findings:read', 'findings:read'] }).expect(201)
    ).body;
    expect(made).toMatchObject({ name: 'short life', scopes: ['findings:read'], sites: null, revokedAt: null });
    expect((await get('/v1/findings', made.secret as string)).status).toBe(200);
    const { body, text } = await api.get('/v1/keys').expect(200);
    expect((body.items as { id: string }[]).map(({ id }) => id)).toContain(made.id);
    expect(text).not.toContain(made.secret as string);
    const revoke = () => api.raw.delete(`/v1/keys/${made.id as string}`).set('Authorization', `Bearer ${adminKey}`);
    await revoke().expect(204);
    expect((await get('/v1/findings', made.secret as string)).status).toBe(401);
    expect((await revoke().expect(404)).body.code).toBe('unknown-key');
  });

  test('what cannot be a key', async () => {
    const { body } = await api.post('/v1/keys', { name: '', scopes: ['events:wite'], site: ['x'] }).expect(422);
    expect(body.errors).toEqual(
      expect.arrayContaining([
        expect.objectContaining({ pointer: '/scopes/0', nearest: 'events:write' }),
        expect.objectContaining({ pointer: '/site', nearest: 'sites' }),
        expect.objectContaining({ pointer: '/name' }),
      ]),
    );
  });

  test('no secret and no body is in the log', async () => {
    const secret = await keyWith(['events:write']);
    await api.send(run(4, 71, { data: { line: 'M1', note: 'a-word-to-look-for' } }), secret).expect(422);
    await api.get('/v1/findings?line=a-word-to-look-for').expect(200);
    const log = api.logged.join('\n');
    for (const word of [secret, adminKey, 'a-word-to-look-for', 'Bearer']) expect(log).not.toContain(word);
    expect(log).toContain('/v1/findings');
  });
});

describeEachDatabase('limits of requests', (open) => {
  let api: ApiUnderTest;
  afterEach(() => api.close());

  test('an address that keeps failing has to wait, and is told how long', async () => {
    api = await startApi(open, { failuresAMinute: 3 });
    for (let i = 0; i < 3; i++) await api.raw.get('/v1/findings').set('Authorization', 'Bearer guess').expect(401);
    const { body, headers } = await api.raw.get('/v1/findings').set('Authorization', 'Bearer guess').expect(429);
    expect(body.code).toBe('rate-limited');
    expect(Number(headers['retry-after'])).toBeGreaterThan(0);
    await api.get('/v1/findings').expect(429);
    await api.raw.get('/health/live').expect(200);
  });

  test('the general limit', async () => {
    api = await startApi(open, { requestsAMinute: 5 });
    for (let i = 0; i < 5; i++) await api.get('/v1/findings').expect(200);
    expect((await api.get('/v1/findings').expect(429)).body.code).toBe('rate-limited');
  });
});

describeEachDatabase('the first key', (open) => {
  test('is made once, has all rights, and is not shown again', async () => {
    const database = await open();
    const { startServer } = await import('../../src/server.js');
    const config = { port: 0, logLevel: 'silent' } as const;
    const first = await startServer({ config, database, sweepEvery: 0 });
    expect(first.keyIsNew).toBe(true);
    const ask = (url: string) => fetch(`${url}/v1/keys`, { headers: { Authorization: `Bearer ${first.adminKey}` } });
    expect((await ask(first.url)).status).toBe(200);
    await first.close();
    const second = await startServer({ config, database, sweepEvery: 0 });
    expect(second).toMatchObject({ keyIsNew: false, adminKey: undefined });
    expect((await ask(second.url)).status).toBe(200);
    await second.close();
    await database.drop();
  });
});
