import { mkdtemp, rm } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, test } from '@jest/globals';
import pg from 'pg';
import { openPostgresql } from '../../src/db/postgresql.js';
import { createTestDatabase } from '../support/database.js';
import { Chance } from './chance.js';
import type { Clock } from './clock.js';
import { layFolder } from '../support/folder.js';
import { began, makeLoad, span } from './load.js';
import { long, serverUrl } from './places.js';
import { ServerProcess } from './process.js';
import { judge } from './run.js';
import { Senders } from './senders.js';

(serverUrl === undefined ? describe.skip : describe)('three processes over one PostgreSQL', () => {
  const url = serverUrl ?? '';
  test('the same sites, repetitions and late events at once, connections cut meanwhile: no event lost, nothing twice, no deadlock', async () => {
    const own = await createTestDatabase(url);
    const watcher = new pg.Client({ connectionString: own.url, application_name: 'watcher' });
    await watcher.connect();
    const clock: Clock = { began, wall: Date.now() + 1500, speed: span / (long ? 60_000 : 5000) };
    const orders = { clock, sweepEvery: 100, spacing: 10 };
    // All at once on an empty database: one of them migrates it, the others wait.
    const servers = [1, 2, 3].map(() => new ServerProcess({ DATABASE_URL: own.url }, orders));
    try {
      await Promise.all(servers.map((server) => server.up()));
      const load = makeLoad(new Chance(3), long ? 12 : 4, long ? 300 : 80);
      let sent = false;
      const senders = new Senders({
        chance: new Chance(4),
        clock,
        urls: () => servers.flatMap(({ url }) => url ?? []),
        progress: () => 1,
        senders: 8,
        twice: 0.3,
      });
      const sending = senders.run(load).finally(() => (sent = true));
      let cut = 0;
      const cutting = (async () => {
        const chance = new Chance(5);
        while (!sent) {
          await wait(chance.between(50, 300));
          const { rowCount } = await watcher.query(
            `select pg_terminate_backend(pid) from pg_stat_activity
               where datname = current_database() and application_name = 'stepwedge' order by random() limit 1`,
          );
          cut += rowCount ?? 0;
        }
      })();
      await Promise.all([sending, cutting]);
      const figures = await Promise.all(servers.map(({ url }) => retries(url ?? '')));
      const ended = await Promise.all(servers.map((server) => server.kill('SIGTERM')));
      expect(ended.map(({ code }) => code)).toEqual([0, 0, 0]);
      const verdict = await judge(() => openPostgresql(own.url), load, senders, clock);
      const { rows } = await watcher.query<{ deadlocks: string }>(
        'select deadlocks from pg_stat_database where datname = current_database()',
      );
      const { faults, ...seen } = verdict;
      const answers = Object.fromEntries(senders.outcomes);
      process.stdout.write(`${JSON.stringify({ cut, retries: figures, answers, ...seen })}\n`);
      expect(faults).toEqual([]);
      expect(rows).toEqual([{ deadlocks: '0' }]);
      expect(senders.rejected).toEqual([]);
      expect(cut).toBeGreaterThan(0);
      expect(seen.sweepChanges).toBeGreaterThan(0);
    } finally {
      await Promise.all(servers.map((server) => server.kill()));
      await watcher.end();
      await own.drop();
    }
  }, 180_000);
});

/** Transactions that a process has tried again. */
async function retries(url: string): Promise<number> {
  const text = await (await fetch(`${url}/metrics`)).text();
  return Number(/^stepwedge_retries_total (\d+)/m.exec(text)?.[1]);
}

test('a second server on the folder of a living one ends with a sentence, and the first goes on', async () => {
  const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-faults-'));
  await layFolder(folder);
  const env = { STEPWEDGE_DATA_DIR: folder };
  const first = new ServerProcess(env, { sweepEvery: 0 });
  try {
    const url = await first.up();
    const second = new ServerProcess(env, { sweepEvery: 0 });
    const { code, error } = await second.ended;
    expect(code).toBe(1);
    expect(error).toBe(
      `The data folder ${folder} is in use by process ${first.pid} on ${os.hostname()}. ` +
        'Stop that one first, or give this one a folder of its own.\n',
    );
    expect((await fetch(`${url}/health/ready`)).status).toBe(200);
  } finally {
    await first.kill();
    await rm(folder, { recursive: true, force: true });
  }
}, 60_000);
