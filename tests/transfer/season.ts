import { expect } from '@jest/globals';
import { type ApiUnderTest, startApi } from '../api/server.js';
import { Chance } from '../faults/chance.js';
import { began, type Load, makeLoad, span } from '../faults/load.js';
import type { TestDatabase } from '../support/database.js';
import { end } from './file.js';

export interface Season {
  readonly api: ApiUnderTest;
  readonly load: Load;
}

/** The real server on a database, at the end of the season. */
export async function serverOn(database: TestDatabase): Promise<ApiUnderTest> {
  const api = await startApi(() => Promise.resolve(database));
  api.setNow(end);
  return api;
}

/** A season of two offices through the API: late events, retractions, sweeps between, a refusal, a patient. */
export async function season(database: TestDatabase, size = 60): Promise<Season> {
  const api = await startApi(() => Promise.resolve(database));
  const load = makeLoad(new Chance(20_260_401), 2, size);
  api.setNow(began + span / 2);
  await api.send(load.first).expect(200);
  for (const [index, batch] of load.batches.entries()) {
    const latest = Math.max(...batch.map(({ time }) => Date.parse(time)));
    api.setNow(Math.max(latest, began + Math.round((span * index) / load.batches.length)));
    await api.send(batch).expect(200);
    if (index % 4 === 0) await api.server.sweep();
  }
  api.setNow(end);
  await api.server.sweep();
  await api.send([exposure, { ...exposure, id: 'x-2', data: { ...exposure.data, tube: 7 } }]).expect(200);
  return { api, load };
}

/** Its patient is stored as a hash that depends on the organisation's key. */
export const exposure = {
  specversion: '1.0',
  type: 'film.exposed',
  source: 'pms-1',
  id: 'x-1',
  site: 'site-1',
  time: new Date(end - 3_600_000).toISOString(),
  data: { tube: 'R1', film: 'F-900', patient: 'chart 4711' },
};

/** All that can be read of it over HTTP, by path. */
export async function answers(api: ApiUnderTest): Promise<Record<string, unknown>> {
  const all: Record<string, unknown> = {};
  const get = async (path: string): Promise<{ items: { id: string }[]; next?: string }> => {
    const { body } = await api.get(path).expect(200);
    all[path] = body;
    return body as { items: { id: string }[]; next?: string };
  };
  for (const { id } of (await get('/v1/sites?limit=500')).items) {
    await get(`/v1/sites/${id}`);
    for (const view of ['board', 'due', 'limits'])
      await get(`/v1/sites/${id}/${view}?at=${new Date(end).toISOString()}`);
  }
  const findings = await get('/v1/findings?limit=500');
  expect(findings.items.length).toBeGreaterThan(20);
  for (const { id } of findings.items.slice(0, 30)) await get(`/v1/findings/${id}`);
  await get('/v1/events?limit=500');
  await get('/v1/rejected?limit=500');
  await get('/v1/findings/changes?limit=500');
  return all;
}
