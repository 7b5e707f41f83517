import { setTimeout as wait } from 'node:timers/promises';
import { expect, test } from '@jest/globals';
import { openPostgresql } from '../../src/db/postgresql.js';
import { Chance } from './chance.js';
import type { Clock } from './clock.js';
import { Cluster, programs } from './cluster.js';
import { began, makeLoad, span } from './load.js';
import { long, serverUrl } from './places.js';
import { ServerProcess } from './process.js';
import { judge } from './run.js';
import { Senders } from './senders.js';

const wanted = long || serverUrl !== undefined;
if (wanted && programs === undefined) {
  process.stdout.write(
    'PostgreSQL is not installed on this machine (no initdb): a restart in the middle is not tried.\n',
  );
}
const restarts = long ? 12 : 2;

(wanted && programs !== undefined ? test : test.skip)(
  'PostgreSQL goes down in the middle, in good order and at once: the processes go on, and nothing accepted is lost',
  async () => {
    const cluster = await Cluster.create();
    const clock: Clock = { began, wall: Date.now(), speed: span / (restarts * 3000) };
    const orders = { clock, sweepEvery: 150, spacing: 10 };
    const servers = [1, 2].map(() => new ServerProcess({ DATABASE_URL: cluster.url }, orders));
    try {
      await Promise.all(servers.map((server) => server.up()));
      const load = makeLoad(new Chance(6), 3, 60);
      let done = 0;
      const senders = new Senders({
        chance: new Chance(7),
        clock,
        urls: () => servers.flatMap(({ url }) => url ?? []),
        progress: () => (done + 1) / (restarts + 1),
        senders: 4,
      });
      const sending = senders.run(load);
      for (; done < restarts; done++) {
        await wait(500);
        await cluster.restart(done % 3 === 1 ? 'fast' : 'immediate');
      }
      await sending;
      expect(servers.map(({ over }) => over)).toEqual([false, false]);
      await Promise.all(servers.map((server) => server.kill()));
      const { faults, ...seen } = await judge(() => openPostgresql(cluster.url), load, senders, clock);
      process.stdout.write(`${JSON.stringify({ restarts, answers: Object.fromEntries(senders.outcomes), ...seen })}\n`);
      expect(faults).toEqual([]);
      expect(senders.rejected).toEqual([]);
    } finally {
      await Promise.all(servers.map((server) => server.kill()));
      await cluster.drop();
    }
  },
  240_000,
);
