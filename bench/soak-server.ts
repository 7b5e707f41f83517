import { constants, PerformanceObserver } from 'node:perf_hooks';
import { pino } from 'pino';
import { startServer } from '../src/server.js';
import { simulated, type SoakClock } from './soak-clock.js';

/** The server under the soak, in a process of its own: whole, with its sweeper, its limits and its metrics. */

export interface SoakSetup {
  readonly databaseUrl?: string;
  readonly folder?: string;
  /** Stands still until it is told when it began. */
  readonly clock: Omit<SoakClock, 'begun'>;
}

export interface Memory {
  readonly rss: number;
  readonly heapUsed: number;
  readonly heapTotal: number;
  readonly external: number;
  /** Heap in use after the latest full collection, bytes; 0: there was none yet. */
  readonly live: number;
}

export type Ask =
  { ask: 'begin'; begun: number } | { ask: 'memory' } | { ask: 'stored'; site: string } | { ask: 'close' };

const setup = JSON.parse(process.argv[2] ?? '{}') as SoakSetup;
let live = 0;
let begun = Infinity;
new PerformanceObserver((list) => {
  for (const { detail } of list.getEntries() as unknown as { detail?: { kind?: number } }[]) {
    if (detail?.kind === constants.NODE_PERFORMANCE_GC_MAJOR) live = process.memoryUsage().heapUsed;
  }
}).observe({ entryTypes: ['gc'] });

const server = await startServer({
  config: {
    port: 0,
    databaseUrl: setup.databaseUrl,
    ...(setup.folder === undefined ? {} : { dataDir: setup.folder }),
    requestsAMinute: 600_000,
  },
  // At the usual level, into nothing: writing the log is part of the work, keeping it is not.
  logger: pino({ level: 'info' }, pino.destination('/dev/null')),
  now: () => simulated({ ...setup.clock, begun }, Date.now()),
  processMetrics: true,
});

async function stored(site: string): Promise<string[]> {
  const [organisation = ''] = await server.database.organisations();
  const rows = await server.database.withOrganisation(organisation, (tx) =>
    tx.query<{ id: string }>('select id from event where organisation = $1 and site = $2', organisation, site),
  );
  return rows.map(({ id }) => id);
}

process.on('message', (ask: Ask) => {
  if (ask.ask === 'begin') begun = ask.begun;
  if (ask.ask === 'memory') {
    const { rss, heapUsed, heapTotal, external } = process.memoryUsage();
    process.send?.({ rss, heapUsed, heapTotal, external, live } satisfies Memory);
  }
  if (ask.ask === 'stored') void stored(ask.site).then((ids) => process.send?.(ids));
  if (ask.ask === 'close') void server.close().then(() => process.exit(0));
});
process.send?.({ url: server.url, key: server.adminKey });
