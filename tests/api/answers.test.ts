import { writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, test } from '@jest/globals';
import type { Test } from 'supertest';
import { format, resolveConfig } from 'prettier';
import { answers } from '../../src/api/docs/answers.js';
import { operations } from '../../src/api/operations.js';
import { causesExample } from '../../src/api/schemas/causes.js';
import { developmentExample } from '../../src/api/schemas/development.js';
import { exampleEvent } from '../../src/api/schemas/events.js';
import { exposureExample } from '../../src/api/schemas/exposure.js';
import { keyExample } from '../../src/api/schemas/keys.js';
import { siteExample } from '../../src/api/schemas/sites.js';
import { stripExample } from '../../src/api/schemas/strip.js';
import { eventTypes } from '../../src/events/catalogue.js';
import { testDatabases } from '../support/database.js';
import { type ApiUnderTest, startApi } from './server.js';

/**
 * The example answers of the contract and of /docs are recorded, not invented: a small office is told to a running server,
 * and what it answers is kept, lists cut to their first items. `RECORD_ANSWERS=1 npm test -- tests/api/answers` writes them.
 */
const target = fileURLToPath(new URL('../../src/api/docs/answers.ts', import.meta.url));
const recorded: Record<string, Record<string, unknown>> = {};

const embedded = testDatabases().find(({ name }) => name === 'embedded');
let api: ApiUnderTest;
beforeAll(async () => {
  if (embedded === undefined) throw new Error('There is no embedded database.');
  api = await startApi(embedded.open);
  await tell();
}, 120_000);
afterAll(() => api.close());

const at = 'at=2026-03-11T12:00:00-07:00';
const chemistry = (bath: string, id: string) => ({
  ...{ specversion: '1.0', type: 'chemistry.changed', source: 'office', id, site: 'brackenfold' },
  ...{ time: '2026-01-08T12:30:00-08:00', data: { line: 'M1', bath, by: 'op-3' } },
});
const run = {
  ...{ specversion: '1.0', type: 'film.processed', source: 'office', id: 'f-1', site: 'brackenfold' },
  time: '2026-03-11T09:05:00-07:00',
  data: {
    ...{ line: 'M1', method: 'manual', count: 3 },
    developer: { temperature: { value: 71, unit: '[degF]' }, time: { value: 3.5, unit: 'min' } },
  },
};
const slip = {
  ...{ specversion: '1.0', type: 'bath.measured', source: 'office', id: 'b-1', site: 'brackenfold' },
  time: '2026-03-11T08:00:00-07:00',
  data: { line: 'M1', bath: 'developer', temprature: { value: 20, unit: 'Cel' } },
};

async function tell(): Promise<void> {
  const set = await keep(
    'putSite',
    api.put('/v1/sites/brackenfold', { ...siteExample, validFrom: '2026-01-05T07:00:00-08:00' }),
  );
  expect(set.timeZone).toBe(siteExample.timeZone);
  await keep('sendEvents', api.send([chemistry('developer', 'c-1'), chemistry('fixer', 'c-2'), slip]));
  const sent = await keep('sendEvents', api.send(run));
  expect(sent).toMatchObject({ results: [{ status: 'accepted' }] });
  await keep('listEvents', api.get('/v1/events?site=brackenfold&limit=1&type=film.processed'));
  await keep('listRejected', api.get('/v1/rejected?limit=1'));
  const found = await keep(
    'listFindings',
    api.get('/v1/findings?site=brackenfold&severity=law&limit=1&rule=common/processing-times/development-short'),
  );
  const { id } = (found.items as [{ id: string }])[0];
  await keep('findingChanges', api.get('/v1/findings/changes?limit=1'));
  await keep('acknowledgeFinding', api.post(`/v1/findings/${id}/acknowledge`, { by: 'op-3', reason: 'on it' }));
  await keep(
    'snoozeFinding',
    api.post(`/v1/findings/${id}/snooze`, { until: '2026-03-12', reason: 'part ordered', by: 'op-3' }),
  );
  await keep('getFinding', api.get(`/v1/findings/${id}`));
  await keep('getBoard', api.get(`/v1/sites/brackenfold/board?${at}`));
  await keep('getDue', api.get(`/v1/sites/brackenfold/due?${at}`));
  await keep('consultDevelopment', api.post('/v1/consult/development', developmentExample));
  await keep('consultExposure', api.post('/v1/consult/exposure', exposureExample));
  await keep('consultStrip', api.post('/v1/consult/strip', stripExample));
  await keep('consultCauses', api.post('/v1/consult/causes', causesExample));
  await keep('getLearnedCauses', api.get(`/v1/sites/brackenfold/causes?${at}`));
  await keep('getBaths', api.get(`/v1/sites/brackenfold/baths?${at}`));
  await keep('getMeasure', api.get(`/v1/sites/brackenfold/measures/run.timeRatio?${at}`));
  await keep('getNotEvaluable', api.get(`/v1/sites/brackenfold/not-evaluable?${at}`), (body) => ({
    ...body,
    items: (body.items as { rule: string }[]).filter(({ rule }) => rule.endsWith('/fixing-time')),
  }));
  await keep('getLimits', api.get(`/v1/sites/brackenfold/limits?${at}`), (body) => ({
    ...body,
    items: (body.items as { limit: string; line?: string }[]).filter(
      ({ limit, line }) => (limit === 'development-time-min' || limit === 'developer-temperature') && line === 'M1',
    ),
  }));
  await keep(
    'resolveFinding',
    api.post(`/v1/findings/${id}/resolve`, { rootCause: 'pulled early', action: 'timer put on the shelf', by: 'op-3' }),
  );
  await keep('listSites', api.get('/v1/sites'));
  await keep('getSite', api.get('/v1/sites/brackenfold'));
  await keep('listPacks', api.get('/v1/packs'), (body) => ({ items: (body.items as object[]).slice(-1) }));
  await keep('getPack', api.get('/v1/packs/us-wa/processing'), ({ limits, notKnown, ...head }) => ({
    ...head,
    ...{ limits: (limits as object[]).slice(-1), charts: [], rules: [], notKnown: (notKnown as object[]).slice(0, 1) },
  }));
  await keep('packCheck', api.post('/v1/pack-check', { packs: [stricter.replace('lessThan', 'lesThan')] }));
  await keep('whatIf', api.post('/v1/what-if', { packs: [stricter] }), (body) => ({
    ...body,
    trial: 'bX0kq3uD5qQm8r0l0pXoHkYcKQm3mZ1p7h2yQe4Vw6E',
  }));
  const clinic = `pack: brackenfold/baths
version: 1.0.0
title: Our baths
authority: Brackenfold
layer: clinic
citation: { text: practice manual, read: practice }
limits:
  - { id: developer-temperature, of: developer.temperature, for: { method: manual }, max: '74 [degF]', severity: warning }
`;
  await keep('putPack', api.putText('/v1/packs/brackenfold/baths', clinic));
  await keep('listPackVersions', api.get('/v1/pack-versions/brackenfold/baths'));
  const made = await keep('createKey', api.post('/v1/keys', keyExample));
  expect(made.secret).toMatch(/^sw\./);
  await keep('listKeys', api.get('/v1/keys'));
  await keep('getEntrance', api.get('/'));
  await keep('healthLive', api.get('/health/live'));
  await keep('healthReady', api.get('/health/ready'));
}

/** Runs of less than five minutes, whatever the temperature. */
const stricter = `pack: clinic/own
version: 1.0.0
title: Our own
authority: The office
layer: clinic
citation: { text: house rule, read: practice }
checks:
  - id: five-minutes
    title: Less than five minutes
    on: [film.processed]
    about: run
    when: { fact: run.fixer.time, operator: lessThan, value: 5 min }
    severity: warning
    say: 'Fixed {run.fixer.time}'
    tests:
      - { name: four, kind: fires, events: [{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1, fixer: { time: 4 min } } }], expect: [{}] }
      - { name: six, kind: silent, events: [{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1, fixer: { time: 6 min } } }] }
      - { name: five, kind: boundary, events: [{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1, fixer: { time: 5 min } } }], expect: [] }
  - id: below-five
    title: Developed less than five minutes
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: lessThan, value: 5 min }
    severity: advice
    say: 'Developed {run.developer.time}'
    tests:
      - { name: four, kind: fires, events: [{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1, developer: { time: 4 min } } }], expect: [{}] }
      - { name: six, kind: silent, events: [{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1, developer: { time: 6 min } } }] }
      - { name: five, kind: boundary, events: [{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1, developer: { time: 5 min } } }], expect: [] }
`;

type Body = Record<string, unknown>;

async function keep(id: string, asked: Test, choose: (body: Body) => Body = (body) => body): Promise<Body> {
  const { status, body } = (await asked) as { status: number; body: Body };
  expect([id, status < 300 ? 'fine' : body]).toEqual([id, 'fine']);
  (recorded[id] ??= {})[status] = scrubbed(cut(choose(body)));
  return body;
}

/** Lists to their first two items, rows of charts to three. */
function cut(value: unknown, name = ''): unknown {
  if (Array.isArray(value))
    return value.slice(0, name === 'rows' ? 3 : name === 'results' ? 3 : 2).map((each) => cut(each));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, cut(each, key)]));
}

/** Random ids and secrets are told as what they look like. */
function scrubbed(value: unknown): unknown {
  const text = JSON.stringify(value)
    .replaceAll(/"sw\.main\.[0-9a-f]{12}\.[\w-]+"/g, '"sw.main.1f0c3a5b7d9e.…"')
    .replaceAll(/"id":"[0-9a-f]{12}"/g, '"id":"1f0c3a5b7d9e"')
    .replaceAll(/[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g, '5f2d8c1e-7a40-4b6e-9c3d-0e1f2a3b4c5d');
  return JSON.parse(text) as unknown;
}

/** Where each value lies, and of what kind it is; the wording of rules may change, the shape is the contract. */
function outline(value: unknown, path = ''): string[] {
  if (Array.isArray(value)) return value.flatMap((each) => outline(each, `${path}[]`));
  if (typeof value !== 'object' || value === null) return [`${path}: ${value === null ? 'null' : typeof value}`];
  return Object.entries(value).flatMap(([key, each]) => outline(each, `${path}.${key}`));
}

test('the example answers are what a server answers', async () => {
  if (process.env['RECORD_ANSWERS'] === '1') {
    const text = `/** Answers of a running server, recorded by tests/api/answers.test.ts. */\nexport const answers: Readonly<Record<string, Readonly<Record<string, unknown>>>> = ${JSON.stringify(recorded, null, 2)};\n`;
    await writeFile(target, await format(text, { ...(await resolveConfig(target)), filepath: target }));
    return;
  }
  const shape = (all: object) => [...new Set(outline(all))].sort();
  expect(shape(answers)).toEqual(shape(recorded));
});

test('every operation that answers with JSON has one', () => {
  const silent = operations.filter(
    ({ id, answers: own }) =>
      Object.values(own).some(({ content }) => content?.['application/json'] !== undefined) &&
      recorded[id] === undefined,
  );
  expect(silent.map(({ id }) => id)).toEqual([]);
});

test('the example events of all types are taken together, at the office that is the example of a site', async () => {
  const { body } = await api.send(eventTypes.map(exampleEvent)).expect(200);
  const results = body.results as { id: string; status: string; problem?: { detail?: string } }[];
  expect(
    results.flatMap(({ id, status, problem }) => (status === 'accepted' ? [] : [`${id}: ${problem?.detail}`])),
  ).toEqual([]);
  expect(new Set(results.map(({ id }) => id)).size).toBe(eventTypes.length);
});
