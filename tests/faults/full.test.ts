import { execFileSync } from 'node:child_process';
import { chmodSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { rm, statfs, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, test } from '@jest/globals';
import { openEmbedded } from '../../src/db/embedded/embedded.js';
import type { Database } from '../../src/db/port.js';
import { openPostgresql } from '../../src/db/postgresql.js';
import { Chance } from './chance.js';
import type { Clock } from './clock.js';
import { Cluster, programs } from './cluster.js';
import { layFolder } from '../support/folder.js';
import { began, type Load, makeLoad, span } from './load.js';
import { long, serverUrl } from './places.js';
import { adminKey, ServerProcess } from './process.js';
import { judge } from './run.js';
import { Senders } from './senders.js';

/** A small disk, in memory; only root may mount one. */
function mount(place: string, megabytes: number): boolean {
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${megabytes}m`, 'tmpfs', place], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
}

const folder = mkdtempSync(path.join(os.tmpdir(), 'stepwedge-disk-'));
chmodSync(folder, 0o755);
const disk = path.join(folder, 'disk');
mkdirSync(disk);
const mounted = mount(disk, 192);
if (mounted) chmodSync(disk, 0o777);
else process.stdout.write('No small disk can be mounted here (that takes root): a full one is not tried.\n');
afterAll(() => {
  if (mounted) execFileSync('umount', [disk]);
  rmSync(folder, { recursive: true, force: true });
});

/** Leaves so many bytes free on the disk. */
async function fill(free: number): Promise<() => Promise<void>> {
  const ballast = path.join(disk, 'ballast');
  const { bavail, bsize } = await statfs(disk);
  await writeFile(ballast, Buffer.alloc(Math.max(0, bavail * bsize - free)));
  return () => rm(ballast);
}

const clock: Clock = { began: began + span, wall: Date.now(), speed: 1 };

async function post(
  url: string,
  batch: Load['first'],
): Promise<{ status: number; code?: string; body: string; after: string | null }> {
  const response = await fetch(`${url}/v1/events`, {
    method: 'POST',
    headers: { Authorization: `Bearer ${adminKey}`, 'Content-Type': 'application/cloudevents-batch+json' },
    body: JSON.stringify(batch),
  });
  const body = await response.text();
  const { code } = JSON.parse(body) as { code?: string };
  return { status: response.status, code, body, after: response.headers.get('Retry-After') };
}

/**
 * The story of a full disk: the first half goes in; then no room, which is answered as such while reading goes on; with
 * room again the same process takes the rest, and nothing is missing.
 */
async function story(server: ServerProcess, free: number, open: () => Promise<Database>): Promise<void> {
  const url = await server.up();
  const load = makeLoad(new Chance(8), 2, 40);
  const senders = new Senders({ chance: new Chance(9), clock, urls: () => [url], progress: () => 1, senders: 2 });
  const half = Math.floor(load.batches.length / 2);
  await senders.run({ ...load, batches: load.batches.slice(0, half) });
  const relieve = await fill(free);
  // Pages that are begun have room for some more: it is answered from the moment that one is wanted.
  const filler = makeLoad(new Chance(10), 1, 1).first[0];
  let full: Awaited<ReturnType<typeof post>> | undefined;
  const rest = load.batches.slice(half);
  for (let index = 0; index < rest.length && full === undefined; index++) {
    const answer = await post(url, rest[index] ?? []);
    if (answer.status !== 200) full = answer;
    else senders.note(answer.body);
  }
  for (let index = 0; index < 500 && full === undefined; index++) {
    const note = 'x'.repeat(1900);
    const batch = Array.from({ length: 20 }, (_, nth) => ({
      ...(filler as Load['first'][number]),
      id: `filler-${index}-${nth}`,
      site: 'filler',
      source: 'filler',
      data: { ...filler?.data, note },
    }));
    const answer = await post(url, batch);
    if (answer.status !== 200) full = answer;
  }
  expect(full).toMatchObject({ status: 507, code: 'storage-full', after: '60' });
  expect(full?.body).not.toMatch(/\/tmp|pg_wal|extend file| at /);
  const read = await fetch(`${url}/v1/events`, { headers: { Authorization: `Bearer ${adminKey}` } });
  expect(read.status).toBe(200);
  await relieve();
  await senders.run({ ...load, first: [], batches: rest });
  expect(server.over).toBe(false);
  await server.kill();
  const { faults } = await judge(open, load, senders, clock, 'filler');
  expect(faults).toEqual([]);
  expect(senders.rejected).toEqual([]);
}

describe('a full disk', () => {
  (mounted ? test : test.skip)(
    'the embedded database: 507 while there is still some room for itself, then it goes on',
    async () => {
      const data = path.join(disk, 'data');
      await layFolder(data);
      const server = new ServerProcess({ STEPWEDGE_DATA_DIR: data }, { clock, sweepEvery: 0, spacing: 10 });
      try {
        await story(server, 60 * 1024 * 1024, () => openEmbedded(data));
      } finally {
        await server.kill();
        await rm(data, { recursive: true, force: true });
      }
    },
    120_000,
  );

  const wanted = mounted && programs !== undefined && (long || serverUrl !== undefined);
  (wanted ? test : test.skip)(
    'PostgreSQL: 507 when it can add no page to a table, then it goes on',
    async () => {
      const cluster = await Cluster.create(() => Promise.resolve(disk));
      const server = new ServerProcess({ DATABASE_URL: cluster.url }, { clock, sweepEvery: 0, spacing: 10 });
      try {
        await story(server, 0, () => openPostgresql(cluster.url));
      } finally {
        await server.kill();
        await cluster.drop();
      }
    },
    120_000,
  );
});
