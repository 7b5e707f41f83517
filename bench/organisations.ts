import pg from 'pg';
import { openPostgresql } from '../src/db/postgresql.js';
import { Sweeper } from '../src/delivery/sweeper.js';
import { createLedger } from '../src/ledger/context.js';
import { judgedBy } from '../src/ledger/judged-by.js';
import { unjudgedSites } from '../src/ledger/queries.js';
import { PackBook } from '../src/packs/book.js';
import { loadPacks } from '../src/packs/load.js';
import { ownDatabase } from './places.js';

/**
 * What goes through every organisation, with nothing to do in any: a pass of the sweeper and the question of health.
 *
 *     DATABASE_URL=postgresql://... npm run bench:organisations
 */
const counts = [500, 2000];
const practices = 135_000;

const server = process.env['DATABASE_URL'] ?? process.env['TEST_DATABASE_URL'];
if (server === undefined) throw new Error('Set DATABASE_URL to a server where databases may be created.');
const { place, remove } = await ownDatabase(server);
try {
  await measure(place.databaseUrl ?? '');
} finally {
  await remove();
}

async function measure(url: string): Promise<void> {
  const database = await openPostgresql(url);
  const { packs } = await loadPacks('rules');
  const book = new PackBook(packs);
  const ledger = createLedger({ database, book });
  const sweeper = new Sweeper(ledger);
  const owner = new pg.Client({ connectionString: url });
  await owner.connect();
  await sweeper.sweep();
  console.log('organisations   sweep, s   health, s   ms an organisation');
  let perOrganisation = NaN;
  for (const count of counts) {
    await owner.query(
      `INSERT INTO organisation SELECT 'o-' || n, '', '', 0 FROM generate_series(1, $1::int) n ON CONFLICT DO NOTHING`,
      [count],
    );
    await owner.query(
      `INSERT INTO site_head (organisation, site, version, updated_at, packs_hash) SELECT 'o-' || n, 'site', 1, 0, $2
       FROM generate_series(1, $1::int) n ON CONFLICT DO NOTHING`,
      [count, judgedBy({ ...ledger, book })],
    );
    await owner.query('VACUUM ANALYZE organisation, site_head');
    const sweep = await seconds(() => sweeper.sweep());
    const health = await seconds(() => unjudgedSites(database));
    perOrganisation = (sweep / count) * 1000;
    console.log(
      `${String(count).padStart(13)} ${sweep.toFixed(2).padStart(10)} ${health.toFixed(2).padStart(11)} ${perOrganisation.toFixed(2).padStart(20)}`,
    );
  }
  console.log(
    `\nFor ${practices.toLocaleString('en')} organisations of their own: ${((perOrganisation * practices) / 60_000).toFixed(1)} minutes a pass.`,
  );
  await owner.end();
  await database.close();
}

async function seconds(work: () => Promise<unknown>): Promise<number> {
  const started = performance.now();
  await work();
  return (performance.now() - started) / 1000;
}
