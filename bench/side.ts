import { pino } from 'pino';
import { startServer } from '../src/server.js';
import { startStoreOnly, type Place } from './store-only.js';

/** One of the two sides in a process of its own: prints its address, answers `stored`, ends with `close`. */

export type Side = 'stepwedge' | 'store-only';

export interface Started {
  readonly url: string;
  readonly key?: string;
}

async function startPipeline({ databaseUrl, folder }: Place) {
  const server = await startServer({
    config: { port: 0, databaseUrl, requestsAMinute: 0, ...(folder === undefined ? {} : { dataDir: folder }) },
    logger: pino({ level: 'error' }, pino.destination(2)),
    sweepEvery: 0,
  });
  const stored = async (): Promise<string[]> => {
    const all: string[] = [];
    for (const organisation of await server.database.organisations()) {
      const rows = await server.database.withOrganisation(organisation, (tx) =>
        tx.query<{ site: string; id: string; at: number }>(
          'select site, id, at from event where organisation = $1',
          organisation,
        ),
      );
      for (const { site, id, at } of rows) all.push(`${site} ${id} ${at}`);
    }
    return all.sort();
  };
  return { url: server.url, key: server.adminKey, stored, close: () => server.close() };
}

const [side, place] = [process.argv[2] as Side, JSON.parse(process.argv[3] ?? '{}') as Place];
const running =
  side === 'stepwedge' ? await startPipeline(place) : { ...(await startStoreOnly(place)), key: undefined };
process.on('message', (word) => {
  if (word === 'stored') void running.stored().then((list) => process.send?.(list));
  if (word === 'close') void running.close().then(() => process.exit(0));
});
const started: Started = { url: running.url, ...(running.key === undefined ? {} : { key: running.key }) };
process.send?.(started);
