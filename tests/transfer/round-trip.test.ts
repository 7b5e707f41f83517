import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { verifyAudit } from '../../src/findings/audit.js';
import { verifyAdminAudit } from '../../src/ledger/admin-audit.js';
import type { ApiUnderTest } from '../api/server.js';

import { long, serverUrl } from '../faults/places.js';
import { type TestDatabase, type TestDatabaseKind, testDatabases } from '../support/database.js';
import { content, end, type File, fileOf, importText } from './file.js';
import { answers, exposure, type Season, season, serverOn } from './season.js';

const [embedded, postgresql] = testDatabases();

let from: Season;
let file: File;
const open: ApiUnderTest[] = [];
/** Servers and several databases take their seconds; file.test.ts goes the same way without HTTP, always. */
const here = long || serverUrl !== undefined;
const asked = here ? describe : describe.skip;
beforeAll(async () => {
  if (!here) return;
  if (embedded === undefined) throw new Error('There is no embedded database.');
  from = await season(await embedded.open());
  file = await fileOf(from.api.database);
}, 120_000);
afterAll(async () => {
  if (here) for (const api of [from.api, ...open]) await api.close();
});

/** A new database with the file in it, and a server on it. */
async function moved({ text }: File, kind: TestDatabaseKind | undefined = embedded, now = end): Promise<ApiUnderTest> {
  if (kind === undefined) throw new Error('There is no such database.');
  const database = await kind.open();
  const told = await importText(database, text, {}, undefined, now);
  expect(told).toMatchObject({ organisation: 'main', changed: { findings: 0, sites: 0 }, unjudged: [] });
  const api = await serverOn(database);
  open.push(api);
  return api;
}

const lateEvent = {
  ...exposure,
  type: 'bath.measured',
  id: 'late-1',
  time: new Date(end - 70 * 86_400_000).toISOString(),
  data: { line: 'M1', bath: 'developer', temperature: { value: 61, unit: '[degF]' } },
};

/** What happens on both sides in the same way. */
async function goOn(api: ApiUnderTest): Promise<void> {
  await api.send([lateEvent]).expect(200);
  api.setNow(end + 40 * 86_400_000);
  await api.server.sweep();
}

/** All changes after a cursor, page by page, and the cursor at the end. */
async function changesAfter(api: ApiUnderTest, cursor?: string): Promise<{ items: unknown[]; next: string }> {
  const items: unknown[] = [];
  for (let next = cursor; ;) {
    const after = next === undefined ? '' : `&after=${next}`;
    const { body } = await api.get(`/v1/findings/changes?limit=500${after}`).expect(200);
    const page = body as { items: unknown[]; next: string };
    items.push(...page.items);
    next = page.next;
    if (page.items.length < 500) return { items, next };
  }
}

asked('an organisation that has moved', () => {
  let to: ApiUnderTest;
  let cursor: string;
  beforeAll(async () => {
    to = await moved(file);
    cursor = (await changesAfter(from.api)).next;
  }, 60_000);

  test('answers every question as it did, places in the feed and all', async () => {
    expect(file.told.counts.rejected).toBe(1);
    expect(file.told.counts.change).toBeGreaterThan(file.told.counts.finding);
    expect(await answers(to)).toEqual(await answers(from.api));
    expect(content(await fileOf(to.database))).toEqual(content(file));
  });

  test('holds what was sent before for duplicates, patients too', async () => {
    const again = [exposure, ...from.load.batches.flat().slice(0, 40)];
    const { body } = await to.send(again).expect(200);
    const { body: there } = await from.api.send(again).expect(200);
    expect(body.results).toEqual(there.results);
    expect((body.results as { status: string }[]).every(({ status }) => status === 'duplicate')).toBe(true);
  });

  test('has unbroken trails and checkpoints of its own', async () => {
    for (const site of ['site-1', 'site-2'])
      expect(await verifyAudit(to.database, 'main', site)).toMatchObject({ intact: true });
    expect(await verifyAdminAudit(to.database, 'main')).toMatchObject({ intact: true });
    const trail = await rows(to.database, 'select change from admin_change where organisation = $1 order by seq');
    expect(trail.map(({ change }) => change)).toEqual(['organisation.created', 'organisation.imported', 'key.created']);
    const [count] = await rows(to.database, 'select count(*) as n from checkpoint where organisation = $1');
    expect(count?.['n']).toBeGreaterThan(0);
  });

  test('goes on as it would have: late events, what falls due, the feed from the old cursor', async () => {
    expect((await changesAfter(to, cursor)).items).toEqual([]);
    for (const api of [from.api, to]) await goOn(api);
    const [there, here] = [await changesAfter(from.api, cursor), await changesAfter(to, cursor)];
    expect(there.items.length).toBeGreaterThan(0);
    expect(here.items).toEqual(there.items);
    expect((await changesAfter(to, here.next)).items).toEqual([]);
    for (const site of ['site-1', 'site-2'])
      expect(await verifyAudit(to.database, 'main', site)).toMatchObject({ intact: true });
  });

  test('moves on again, and nobody who goes on reading the feed misses a change', async () => {
    const second = await fileOf(to.database);
    const next = await moved(second);
    const bodies = async (api: ApiUnderTest) => Object.entries(await answers(api));
    expect(await bodies(next)).toEqual(await bodies(to));
    const { next: latest } = await changesAfter(to, cursor);
    next.setNow(end + 90 * 86_400_000);
    expect(await next.server.sweep()).toBeGreaterThan(0);
    expect((await changesAfter(next, latest)).items.length).toBeGreaterThan(0);
  });

  test('restored from an older file, it still shows what is new to those who had seen more than the file holds', async () => {
    for (let nth = 1; nth <= 12; nth++) {
      const temperature = { value: nth === 12 ? 61 : 70, unit: '[degF]' };
      const time = new Date(end + nth * 3_600_000).toISOString();
      await to.send([{ ...lateEvent, id: `after-${nth}`, time, data: { ...lateEvent.data, temperature } }]).expect(200);
    }
    const { items, next: seen } = await changesAfter(to, cursor);
    expect(items.length).toBeGreaterThan(0);
    const restored = await moved(file, embedded, end + 3_600_000);
    restored.setNow(end + 90 * 86_400_000);
    expect(await restored.server.sweep()).toBeGreaterThan(0);
    expect((await changesAfter(restored, seen)).items.length).toBeGreaterThan(0);
  });
});

const onPostgresql = postgresql === undefined ? test.skip : test;
onPostgresql('from the embedded database to PostgreSQL and back, all is as it was', async () => {
  const server = await moved(file, postgresql);
  const there = await fileOf(server.database);
  expect(content(there)).toEqual(content(file));
  const back = await moved(there);
  expect(content(await fileOf(back.database))).toEqual(content(file));
  expect(await answers(back)).toEqual(await answers(server));
});

async function rows(database: TestDatabase, sql: string): Promise<Record<string, unknown>[]> {
  return database.withOrganisation('main', (tx) => tx.query<Record<string, unknown>>(sql, 'main'));
}
