import { mkdtemp, rm } from 'node:fs/promises';
import net from 'node:net';
import os from 'node:os';
import path from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, describe, expect, test } from '@jest/globals';
import { pino } from 'pino';
import type { Config } from '../../src/config.js';
import { type Patience, type RunningServer, startServer } from '../../src/server.js';
import { describeEachDatabase, type TestDatabase, testDatabases } from '../support/database.js';
import { layFolder } from '../support/folder.js';
import { adminKey, noon, office, run } from './server.js';

const authorised = `Host: x\r\nAuthorization: Bearer ${adminKey}\r\n`;

interface Held {
  readonly server: RunningServer;
  /** From now on no transaction begins, until `release`. */
  hold(): void;
  release(): void;
  send(events: object | readonly object[]): Promise<Response>;
  get(path: string): Promise<Response>;
  /** Resolves when so many are inside, as the metrics tell. */
  inside(what: 'waiting_events' | 'requests_in_progress', count: number): Promise<void>;
  /** How many events the ledger holds. */
  stored(): Promise<number>;
  close(): Promise<void>;
}

/** A server whose database can be made to wait. */
async function start(
  open: () => Promise<TestDatabase>,
  config: Partial<Config> = {},
  patience: Partial<Patience> = {},
): Promise<Held> {
  const database = await open();
  let gate: Promise<void> | undefined;
  let release = (): void => undefined;
  const inner = database.withOrganisation.bind(database);
  database.withOrganisation = async (...args) => {
    await gate;
    return inner(...args);
  };
  const server = await startServer({
    config: { port: 0, adminKey, requestsAMinute: 0, failuresAMinute: 0, ...config },
    database,
    logger: pino({ level: 'silent' }),
    now: () => noon,
    sweepEvery: 0,
    patience,
  });
  const headers = { Authorization: `Bearer ${adminKey}`, 'Content-Type': 'application/json' };
  const send = (events: object | readonly object[]) =>
    fetch(`${server.url}/v1/events`, { method: 'POST', headers, body: JSON.stringify(events) });
  const body = JSON.stringify({ ...office, validFrom: '2026-01-05T08:00:00-08:00' });
  const made = await fetch(`${server.url}/v1/sites/brackenfold`, { method: 'PUT', headers, body });
  if (!made.ok) throw new Error(await made.text());
  return {
    server,
    hold: () => (gate = new Promise((resolve) => (release = resolve))),
    release: () => {
      gate = undefined;
      release();
    },
    send,
    inside: async (what, count) => {
      const pattern = new RegExp(`^stepwedge_${what} (\\d+)$`, 'm');
      // One request is the one that asks.
      const expected = String(what === 'requests_in_progress' ? count + 1 : count);
      for (;;) {
        const text = await (await fetch(`${server.url}/metrics`, { headers })).text();
        if (pattern.exec(text)?.[1] === expected) return;
        await wait(10);
      }
    },
    get: (path) => fetch(`${server.url}${path}`, { headers }),
    stored: async () => {
      const rows = await inner('main', (tx) => tx.query<{ n: number }>('select count(*)::int as n from event'));
      return rows[0]?.n ?? 0;
    },
    close: async () => {
      release();
      await server.close();
      database.withOrganisation = inner;
      if (database !== shared) await database.drop();
    },
  };
}

/** A connection spoken to by hand; `answer` is what came until it was closed. */
function connect(url: string): { socket: net.Socket; answer: Promise<string>; write: (text: string) => void } {
  const { port, hostname } = new URL(url);
  const socket = net.connect(Number(port), hostname);
  let text = '';
  socket.on('data', (chunk) => (text += chunk.toString()));
  socket.on('error', () => undefined);
  const answer = new Promise<string>((resolve) => socket.on('close', () => resolve(text)));
  return { socket, answer, write: (more) => void socket.write(more) };
}

const head = (length: number) =>
  `POST /v1/events HTTP/1.1\r\n${authorised}Content-Type: application/json\r\nContent-Length: ${length}\r\n\r\n`;

let api: Held | undefined;
const begin = async (...args: Parameters<typeof start>): Promise<Held> => (api = await start(...args));
afterEach(async () => {
  await api?.close();
  api = undefined;
});

/** One database for all tests that ask nothing of it. */
let shared: TestDatabase;
beforeAll(async () => {
  const [embedded] = testDatabases();
  if (embedded === undefined) throw new Error('There is no embedded database.');
  shared = await embedded.open();
});
afterAll(() => shared.drop());
const open = () => Promise.resolve(shared);

describeEachDatabase('more than can wait', (open) => {
  test.each([
    [429, 'too-many-waiting', { waitingShare: 4 }],
    [503, 'overloaded', { waitingEvents: 4 }],
  ])('%i %s; what was let in is committed and answered, the rest comes again', async (status, code, config) => {
    const api = await begin(open, config);
    const before = await api.stored();
    api.hold();
    const inside = [api.send([run(), run()]), api.send(run()), api.send(run())];
    await api.inside('waiting_events', 4);
    const late = run();
    const refused = await api.send(late);
    expect(refused.status).toBe(status);
    expect(await refused.json()).toMatchObject({ status, code });
    const pause = Number(refused.headers.get('retry-after'));
    expect(pause).toBeGreaterThanOrEqual(1);
    expect(pause).toBeLessThanOrEqual(30);
    api.release();
    expect((await Promise.all(inside)).map(({ status }) => status)).toEqual([200, 202, 202]);
    expect(await api.stored()).toBe(before + 4);
    expect((await api.send(late)).status).toBe(202);
    expect(await api.stored()).toBe(before + 5);
  });
});

describe('requests in progress', () => {
  test('beyond the cap are 503; whether the server lives can be asked all the same', async () => {
    const api = await begin(open, { requestsAtOnce: 2 });
    api.hold();
    const inside = [api.get('/v1/findings'), api.get('/v1/findings')];
    await api.inside('requests_in_progress', 2);
    const refused = await api.get('/v1/findings');
    expect(refused.status).toBe(503);
    expect(refused.headers.get('retry-after')).toBe('1');
    expect(await refused.json()).toMatchObject({ code: 'overloaded' });
    expect((await fetch(`${api.server.url}/health/live`)).status).toBe(200);
    api.release();
    expect((await Promise.all(inside)).map(({ status }) => status)).toEqual([200, 200]);
    expect((await api.get('/v1/findings')).status).toBe(200);
  });

  test('whoever hangs up leaves its place', async () => {
    const api = await begin(open, { requestsAtOnce: 2 });
    api.hold();
    const { socket, write } = connect(api.server.url);
    write(`GET /v1/findings HTTP/1.1\r\n${authorised}\r\n`);
    const inside = api.get('/v1/findings');
    await api.inside('requests_in_progress', 2);
    expect((await api.get('/v1/findings')).status).toBe(503);
    socket.destroy();
    await api.inside('requests_in_progress', 1);
    const next = api.get('/v1/findings');
    await api.inside('requests_in_progress', 2);
    api.release();
    expect((await inside).status).toBe(200);
    expect((await next).status).toBe(200);
  });

  test('wait for the database no longer than they may', async () => {
    const dataDir = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-wait-'));
    await layFolder(dataDir);
    const server = await startServer({
      config: { port: 0, adminKey, dataDir, databaseWait: 200 },
      logger: pino({ level: 'silent' }),
      sweepEvery: 0,
    });
    try {
      let release = (): void => undefined;
      const held = new Promise<void>((resolve) => (release = resolve));
      const busy = server.database.withOrganisation('main', () => held);
      const headers = { Authorization: `Bearer ${adminKey}` };
      const refused = await fetch(`${server.url}/v1/findings`, { headers });
      expect(refused.status).toBe(503);
      expect(refused.headers.get('retry-after')).toBe('5');
      expect(await refused.json()).toMatchObject({ code: 'unavailable' });
      release();
      await busy;
      expect((await fetch(`${server.url}/v1/findings`, { headers })).status).toBe(200);
    } finally {
      await server.close();
      await rm(dataDir, { recursive: true, force: true });
    }
  });
});

describe('bodies in memory', () => {
  test('fill up to the cap; who would overfill it is sent away and the others go on', async () => {
    const api = await begin(open, { bodyMemory: 100_000, bodyLimit: 65_536 });
    const text = JSON.stringify(run());
    const body = text + ' '.repeat(60_000 - text.length);
    const [first, second] = [connect(api.server.url), connect(api.server.url)];
    // Announced alone it takes no room.
    first.write(head(60_000).replace('Host', 'Connection: close\r\nHost'));
    second.write(head(60_000).replace('Host', 'Connection: close\r\nHost'));
    await wait(50);
    first.write(body.slice(0, 50_000));
    await wait(50);
    second.write(body.slice(0, 55_000));
    expect(await second.answer).toMatch(/^HTTP\/1\.1 503 [^]*"code":"overloaded"/);
    // The whole of what is announced is looked at before anything is read.
    const third = connect(api.server.url);
    third.write(head(60_000));
    expect(await third.answer).toMatch(/^HTTP\/1\.1 503 [^]*Retry-After: 1\r\n/i);
    first.write(body.slice(50_000));
    expect(await first.answer).toMatch(/^HTTP\/1\.1 202 /);
    expect((await api.send(run())).status).toBe(202);
  });

  test('of callers who hang up are forgotten', async () => {
    const api = await begin(open, { bodyMemory: 70_000, bodyLimit: 65_536 });
    for (let i = 0; i < 5; i++) {
      const { socket, write } = connect(api.server.url);
      write(head(60_000) + ' '.repeat(50_000));
      await wait(30);
      socket.destroy();
      await wait(10);
    }
    const text = JSON.stringify(run());
    const { write, answer } = connect(api.server.url);
    write(head(60_000).replace('Host', 'Connection: close\r\nHost') + text + ' '.repeat(60_000 - text.length));
    expect(await answer).toMatch(/^HTTP\/1\.1 202 /);
  });
});

describe('slow callers', () => {
  test('a body that stays half open is 408 and closed', async () => {
    const api = await begin(open, {}, { silence: 150 });
    const { write, answer } = connect(api.server.url);
    write(`${head(1000)}[{`);
    const text = await answer;
    expect(text).toMatch(/^HTTP\/1\.1 408 /);
    expect(text).toMatch(/Connection: close/i);
    expect(text).toContain('"code":"request-timeout"');
  });

  test('headers that never end are 408 and closed', async () => {
    const api = await begin(open, {}, { headers: 200 });
    const { write, answer } = connect(api.server.url);
    write('GET /v1/findings HTTP/1.1\r\nHost: x\r\nX-A: ');
    expect(await answer).toMatch(/^HTTP\/1\.1 408 [^]*"code":"request-timeout"/);
  });

  test('a body that trickles on and on is 408 and closed', async () => {
    const api = await begin(open, {}, { headers: 200, request: 600, silence: 400 });
    const { socket, write, answer } = connect(api.server.url);
    write(head(10_000));
    const trickle = setInterval(() => !socket.destroyed && write(' '), 50);
    const text = await answer.finally(() => clearInterval(trickle));
    expect(text).toMatch(/^HTTP\/1\.1 408 /);
  });

  test('who never takes the answers is cut off, and holds neither a place nor memory', async () => {
    const api = await begin(open, { requestsAtOnce: 500 }, { answer: 300 });
    const { port, hostname } = new URL(api.server.url);
    const socket = net.connect(Number(port), hostname);
    socket.on('error', () => undefined);
    socket.pause();
    // More than the buffers of both ends hold, however large the system lets them grow.
    socket.write(`GET /openapi.yaml HTTP/1.1\r\nHost: x\r\n\r\n`.repeat(300));
    const inProgress = async (): Promise<number> => {
      const metrics = await (await api.get('/metrics')).text();
      return Number(/^stepwedge_requests_in_progress (\d+)$/m.exec(metrics)?.[1]);
    };
    let most = 0;
    // One is the request for the metrics itself.
    for (let now = 0; now !== 1 || most < 2; most = Math.max(most, now)) {
      await wait(20);
      now = await inProgress();
    }
    // However many it sent ahead.
    expect(most).toBeLessThanOrEqual(22);
    const closed = new Promise((resolve) => socket.on('close', resolve));
    socket.resume();
    await closed;
  });

  test('a connection on which nothing follows is closed', async () => {
    const api = await begin(open, {}, { keepAlive: 200 });
    const { write, answer } = connect(api.server.url);
    write('GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n');
    expect(await answer).toMatch(/^HTTP\/1\.1 200 /);
  });
});

describeEachDatabase('stopping', (open) => {
  test('finishes what is inside and begins nothing else', async () => {
    const api = await begin(open);
    const before = await api.stored();
    api.hold();
    const inside = [api.send([run(), run(), run()]), api.send(run())];
    const begun = connect(api.server.url);
    begun.write(`GET /v1/findings HTTP/1.1\r\nHost: x\r\n`);
    const half = connect(api.server.url);
    const text = JSON.stringify(run());
    half.write(head(text.length) + text.slice(0, 10));
    await api.inside('requests_in_progress', 3);
    await wait(50);
    const stopped = api.server.close();
    await wait(50);
    begun.write(`Authorization: Bearer ${adminKey}\r\n\r\n`);
    half.write(text.slice(10));
    const refused = await begun.answer;
    expect(refused).toMatch(/^HTTP\/1\.1 503 /);
    expect(refused).toMatch(/Connection: close/i);
    expect(refused).toContain('"code":"unavailable"');
    await expect(fetch(`${api.server.url}/health/live`)).rejects.toThrow();
    const stored = api.stored();
    api.release();
    const answers = await Promise.all(inside);
    expect(answers.map(({ status }) => status)).toEqual([200, 202]);
    expect(answers.map(({ headers }) => headers.get('connection'))).toEqual(['close', 'close']);
    const last = await half.answer;
    expect(last).toMatch(/^HTTP\/1\.1 202 /);
    await stopped;
    expect(await stored).toBe(before);
    expect(await api.stored()).toBe(before + 5);
  });

  test('is not kept from ending by a caller who sends nothing more', async () => {
    const api = await begin(open, {}, { stopping: 300 });
    const { write, answer } = connect(api.server.url);
    write(`${head(1000)}[{`);
    await wait(50);
    const began = performance.now();
    await api.server.close();
    expect(performance.now() - began).toBeLessThan(3000);
    await answer;
  });
});
