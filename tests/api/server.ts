import { pino } from 'pino';
import request from 'supertest';
import type { Config } from '../../src/config.js';
import { type RunningServer, startServer } from '../../src/server.js';
import type { TestDatabase, TestDatabaseKind } from '../support/database.js';

/** The clock of the tests: a Wednesday noon at the office. */
export const noon = Date.parse('2026-03-11T12:00:00-07:00');
export const adminKey = 'the-key-of-the-operator-1';

export interface ApiUnderTest {
  readonly server: RunningServer;
  readonly database: TestDatabase;
  /** What the server logged, one JSON line each. */
  readonly logged: string[];
  /** Moves the server's clock, ms. */
  setNow(at: number): void;
  get(path: string): request.Test;
  put(path: string, body: object): request.Test;
  post(path: string, body: object): request.Test;
  /** YAML, as a pack is sent. */
  putText(path: string, text: string): request.Test;
  send(events: object | readonly object[], key?: string): request.Test;
  /** No key, no body: whatever the test adds. */
  raw: ReturnType<typeof request>;
  close(): Promise<void>;
}

/** The real application over HTTP, on a database of its own; every answer is held against its declared schema. */
export async function startApi(open: TestDatabaseKind['open'], config: Partial<Config> = {}): Promise<ApiUnderTest> {
  const database = await open();
  const logged: string[] = [];
  const logger = pino({ level: 'info' }, { write: (line: string) => void logged.push(line) });
  let now = noon;
  const server = await startServer({
    config: { port: 0, adminKey, requestsAMinute: 0, failuresAMinute: 0, ...config },
    database,
    logger,
    now: () => now,
    sweepEvery: 0,
    checkAnswers: true,
  });
  const raw = request(server.url);
  const bearer = `Bearer ${adminKey}`;
  return {
    server,
    database,
    logged,
    setNow: (at) => (now = at),
    get: (path) => raw.get(path).set('Authorization', bearer),
    put: (path, body) => raw.put(path).set('Authorization', bearer).send(body),
    post: (path, body) => raw.post(path).set('Authorization', bearer).send(body),
    putText: (path, text) =>
      raw.put(path).set('Authorization', bearer).set('Content-Type', 'application/yaml').send(text),
    send: (events, key = adminKey) =>
      raw
        .post('/v1/events')
        .set('Authorization', `Bearer ${key}`)
        .set(
          'Content-Type',
          Array.isArray(events) ? 'application/cloudevents-batch+json' : 'application/cloudevents+json',
        )
        .send(JSON.stringify(events)),
    raw,
    async close() {
      await server.close();
      await database.drop();
      // Whatever the tests sent: nothing of it may have met an error that nobody foresaw.
      const errors = logged.filter((line) => (JSON.parse(line) as { level: number }).level >= 50);
      if (errors.length > 0) throw new Error(`The server logged errors:\n${errors.slice(0, 3).join('\n')}`);
    },
  };
}

export const office = {
  name: 'Brackenfold',
  timeZone: 'America/Los_Angeles',
  jurisdictions: ['us', 'us-wa'],
  lines: [
    { id: 'M1', method: 'manual' },
    { id: 'C1', method: 'chairside', chemistry: 'rapid' },
  ],
  tubes: [{ id: 'R1' }, { id: 'R2', kind: 'wall' }],
};

/** An office that exists since January. */
export async function configureOffice(api: ApiUnderTest, site = 'brackenfold', over: object = {}): Promise<void> {
  await api.put(`/v1/sites/${site}`, { ...office, ...over, validFrom: '2026-01-05T08:00:00-08:00' }).expect(201);
}

/**
 * Asks until the answer is as wanted, 20 s at most, and gives the last one. The feed of changes waits for every transaction
 * of the server that began before, those of other tests' databases included.
 */
export async function patiently<T>(ask: () => Promise<T>, isEnough: (answer: T) => boolean): Promise<T> {
  const until = Date.now() + 20_000;
  let answer = await ask();
  while (!isEnough(answer) && Date.now() < until) {
    await new Promise((resolve) => setTimeout(resolve, 100));
    answer = await ask();
  }
  return answer;
}

let counter = 0;

/** A CloudEvent of the office, on the morning of the tests' day. */
export function event(type: string, data: object, more: Record<string, unknown> = {}): Record<string, unknown> {
  counter += 1;
  return {
    specversion: '1.0',
    id: `t-${counter}`,
    source: 'pms',
    type,
    time: '2026-03-11T08:00:00-07:00',
    site: 'brackenfold',
    data,
    ...more,
  };
}

export const fahrenheit = (value: number) => ({ value, unit: '[degF]' });

export function run(time = 4, temperature = 71, more: Record<string, unknown> = {}): Record<string, unknown> {
  const developer = { temperature: fahrenheit(temperature), time: { value: time, unit: 'min' } };
  return event('film.processed', { line: 'M1', method: 'manual', count: 3, developer }, more);
}
