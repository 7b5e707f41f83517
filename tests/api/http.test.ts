import net from 'node:net';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, adminKey, configureOffice, office, run, startApi } from './server.js';

const bearer = `Bearer ${adminKey}`;

describeEachDatabase('HTTP', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());

  describe('addresses', () => {
    test.each([
      ['/v1/findngs', '/v1/findings'],
      ['/v1/sites/brackenfold/bord', '/v1/sites/{id}/board'],
      ['/v1/finding/f-1', '/v1/findings/{id}'],
      ['/helth/ready', '/health/ready'],
    ])('404 for %s names %s', async (path, nearest) => {
      const { body } = await api.get(path).expect(404);
      expect(body).toMatchObject({ code: 'not-found', nearest });
    });

    test('404 for what is like nothing, and for paths that climb', async () => {
      const lost = await api.get('/like-nothing').expect(404);
      expect(lost.body).toMatchObject({ code: 'not-found', detail: 'No such address.' });
      expect((await api.get('/v1/packs/..%2f..%2fetc%2fpasswd').expect(404)).body.code).toBe('not-found');
    });

    test('the bare address says where things are', async () => {
      const { body } = await api.raw.get('/').expect(200);
      expect(body).toMatchObject({ docs: '/docs', ready: '/health/ready', findings: '/v1/findings' });
      for (const path of ['docs', 'contract', 'ready', 'findings', 'sites']) await api.get(body[path]).expect(200);
    });

    test('404 for a name that cannot be one, saying what it may be', async () => {
      const { body } = await api.get('/v1/sites/my%20office').expect(404);
      expect(body.detail).toMatch(/^No such address: id must be 1 to 64 characters out of A-Z a-z 0-9 \. _ : -/);
      const put = await api.put('/v1/sites/my%20office', office).expect(404);
      expect(put.body.detail).toBe(body.detail);
    });

    test('400 for a percent sign that escapes nothing', async () => {
      expect((await api.get('/v1/findings/%E0%A4%A').expect(400)).body.code).toBe('bad-request');
    });

    test('405 with Allow; OPTIONS and HEAD are served', async () => {
      const { body, headers } = await api.raw.delete('/v1/findings').set('Authorization', bearer).expect(405);
      expect(headers['allow']).toBe('GET, HEAD, OPTIONS');
      expect(body).toMatchObject({ code: 'method-not-allowed', allowed: ['GET', 'HEAD', 'OPTIONS'] });
      expect((await api.raw.patch('/v1/sites/brackenfold').expect(405)).headers['allow']).toBe(
        'GET, PUT, HEAD, OPTIONS',
      );
      expect((await api.raw.options('/v1/events').expect(204)).headers['allow']).toBe('POST, GET, HEAD, OPTIONS');
      expect((await api.raw.head('/v1/findings').set('Authorization', bearer).expect(200)).text).toBeUndefined();
    });
  });

  describe('bodies', () => {
    const send = (type: string, body: string) =>
      api.raw.post('/v1/events').set('Authorization', bearer).set('Content-Type', type).send(body);
    /** As they are: the client of the other tests would write a buffer down as JSON. */
    async function sendBytes(body: Buffer, more: Record<string, string> = {}): Promise<unknown> {
      const headers = { Authorization: bearer, 'Content-Type': 'application/json', ...more };
      return (
        await fetch(`${api.server.url}/v1/events`, { method: 'POST', headers, body: new Uint8Array(body) })
      ).json();
    }

    test('415 lists what is read', async () => {
      const { body } = await send('text/plain', 'hello').expect(415);
      expect(body).toMatchObject({ code: 'unsupported-media-type' });
      expect(body.accepted).toContain('application/cloudevents+json');
      await send('application/cloudevents+xml', '<event/>').expect(415);
      const site = await api.raw
        .put('/v1/sites/x')
        .set('Authorization', bearer)
        .set('Content-Type', 'text/yaml')
        .send('a: 1')
        .expect(415);
      expect(site.body.accepted).toEqual(['application/json']);
    });

    test('415 for another charset and for compressed bodies, however large they would become', async () => {
      await send('application/json; charset=iso-8859-1', JSON.stringify(run())).expect(415);
      await send('application/json; charset="UTF-8"', JSON.stringify(run())).expect(202);
      const bomb = gzipSync(Buffer.alloc(50 * 1024 * 1024, 0x20));
      const answer = await sendBytes(bomb, { 'Content-Encoding': 'gzip' });
      expect(answer).toMatchObject({ status: 415, detail: expect.stringContaining('uncompressed') });
    });

    test('400 for JSON that is none, empty, or ten thousand levels deep', async () => {
      expect((await send('application/json', '{"id":').expect(400)).body.code).toBe('invalid-json');
      expect((await send('application/json', '').expect(400)).body.code).toBe('invalid-json');
      expect(await sendBytes(Buffer.from([0x22, 0xff, 0xfe, 0x22]))).toMatchObject({
        status: 400,
        code: 'invalid-json',
      });
      expect((await send('application/json', '['.repeat(10_000)).expect(400)).body.code).toBe('too-deep');
      expect((await send('application/json', '{"a":'.repeat(10_000)).expect(400)).body.code).toBe('too-deep');
    });
  });

  test('every answer carries an id, and none tells what the server is made of', async () => {
    const { headers } = await api.get('/v1/findings').expect(200);
    expect(headers['x-request-id']).toMatch(/^[0-9a-f-]{36}$/);
    expect(headers['x-powered-by']).toBeUndefined();
    expect(headers['cache-control']).toBe('no-store');
    expect(headers['content-security-policy']).toContain("default-src 'none'");
  });

  describe('connections', () => {
    function talk(text: string, thenEnd = false): Promise<string> {
      const { port, hostname } = new URL(api.server.url);
      return new Promise((resolve, reject) => {
        const socket = net.connect(Number(port), hostname, () => (thenEnd ? socket.end(text) : socket.write(text)));
        let answer = '';
        socket.on('data', (chunk) => (answer += chunk.toString()));
        socket.on('close', () => resolve(answer));
        socket.on('error', reject);
      });
    }

    test('what is not HTTP gets a problem all the same', async () => {
      const answer = await talk('NONSENSE\r\n\r\n');
      expect(answer).toMatch(/^HTTP\/1\.1 400 /);
      expect(answer).toContain('"code":"bad-request"');
    });

    test('headers beyond all measure', async () => {
      const answer = await talk(`GET / HTTP/1.1\r\nHost: x\r\nX-Long: ${'x'.repeat(20_000)}\r\n\r\n`);
      expect(answer).toMatch(/^HTTP\/1\.1 431 /);
      expect(answer).toContain('"code":"headers-too-large"');
    });

    test('a caller who hangs up in the middle does no harm', async () => {
      const head = `POST /v1/events HTTP/1.1\r\nHost: x\r\nAuthorization: ${bearer}\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{`;
      const { port, hostname } = new URL(api.server.url);
      await new Promise<void>((resolve) => {
        const socket = net.connect(Number(port), hostname, () => {
          socket.write(head, () => {
            setTimeout(() => {
              socket.destroy();
              resolve();
            }, 50);
          });
        });
      });
      await api.get('/health/live').expect(200);
    });
  });

  describe('pages', () => {
    test('the documentation lists every operation, runs no script and loads nothing from elsewhere', async () => {
      const { text, headers } = await api.raw.get('/docs').expect(200);
      expect(headers['content-type']).toContain('text/html');
      const { operations } = await import('../../src/api/operations.js');
      for (const { id, path } of operations) {
        expect(text).toContain(`id="${id}"`);
        expect(text).toContain(path);
      }
      expect(text).not.toMatch(/<script|\sstyle=|\son\w+=|javascript:/i);
      const links = [...text.matchAll(/(?:href|src)="([^"]*)"/g)].map(([, link]) => link ?? '');
      for (const link of links) {
        if (link.startsWith('#')) expect(text).toContain(`id="${link.slice(1)}"`);
        else await api.raw.get(link).expect(200);
      }
    });

    test('each problem is explained where its type points', async () => {
      const { text } = await api.raw.get('/docs/errors').expect(200);
      const { problemCodes } = await import('../../src/api/problems.js');
      for (const code of problemCodes) expect(text).toContain(`id="${code}"`);
    });

    test('openapi.yaml, packs as JSON and as YAML', async () => {
      const { text } = await api.raw.get('/openapi.yaml').expect(200);
      expect(text).toMatch(/^openapi: 3\.1\.0/);
      const { body } = await api.get('/v1/packs').expect(200);
      const ids = (body.items as { id: string }[]).map(({ id }) => id);
      expect(ids).toContain('us-wa/processing');
      for (const address of ['us-wa/processing', 'us-wa%2Fprocessing']) {
        const pack = await api.get(`/v1/packs/${address}`).expect(200);
        expect(pack.body).toMatchObject({ id: 'us-wa/processing', layer: 'state' });
      }
      const yaml = await api.get('/v1/packs/us-wa/processing').set('Accept', 'application/yaml').expect(200);
      expect(yaml.headers['content-type']).toContain('application/yaml');
      expect((yaml.text as string | undefined) ?? String(yaml.body)).toContain('pack: us-wa/processing');
      expect((await api.get('/v1/packs/us-wa/procesing').expect(404)).body.nearest).toBe('us-wa/processing');
      await api.get('/v1/packs/us-wa/processing').set('Accept', 'image/png').expect(406);
    });

    test('health and metrics', async () => {
      expect((await api.raw.get('/health/live').expect(200)).body).toEqual({ status: 'live' });
      const { body } = await api.raw.get('/health/ready').expect(200);
      expect(body).toMatchObject({ status: 'ready', database: api.database.kind, unjudgedSites: 0 });
      expect(body.durability.length).toBeGreaterThan(20);
      expect(body.migration).toMatch(/^\d{14}_/);
      // From this machine without a key; from behind a proxy only with one.
      expect((await api.raw.get('/metrics').expect(200)).text).toContain('stepwedge_accepted_total');
      await api.raw.get('/metrics').set('X-Forwarded-For', '192.0.2.1').expect(401);
      await api.get('/metrics').set('X-Forwarded-For', '192.0.2.1').expect(200);
    });
  });
});

describeEachDatabase('a database that does not answer', (open) => {
  test('is 503 with Retry-After, in health too, and tells nothing of the inside', async () => {
    const api = await startApi(open);
    await configureOffice(api);
    await api.database.close();
    for (const asking of [api.get('/v1/findings'), api.send(run()), api.raw.get('/health/ready')]) {
      const { body, headers } = await asking.expect(503);
      expect(body.code).toBe('unavailable');
      expect(headers['retry-after']).toBe('5');
      expect(JSON.stringify(body)).not.toMatch(/ at |postgres|pool|prisma/i);
    }
    await api.server.close();
    await api.database.drop();
  });
});
