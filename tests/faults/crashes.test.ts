import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { describe, expect, test } from '@jest/globals';
import { openEmbedded } from '../../src/db/embedded/embedded.js';
import type { Database } from '../../src/db/port.js';
import { openPostgresql } from '../../src/db/postgresql.js';
import { createTestDatabase } from '../support/database.js';
import { layFolder } from '../support/folder.js';
import { long, serverUrl } from './places.js';
import { play } from './run.js';
import type { Verdict } from './verify.js';

const seed = Number(process.env['STEPWEDGE_SEED'] ?? 20260101);
const seeds = (rounds: number) => Array.from({ length: rounds }, (_, index) => seed + index);

async function withFolder(work: (folder: string) => Promise<void>): Promise<void> {
  const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-faults-'));
  try {
    await work(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/**
 * A comparison that finds nothing must be one that can: here a finding is edited behind the trail's back. One that stands:
 * of a withdrawn one the fold says nothing.
 */
async function tamper(database: Database, judge: () => Promise<Verdict>): Promise<void> {
  await database.withOrganisation('main', async (tx) => {
    await tx.execute(
      `update finding set detail = jsonb_set(detail, '{message}', '"Nothing to see here."')
       where (organisation, site, id) = (select organisation, site, id from finding where state <> 'withdrawn' order by id limit 1)`,
    );
  });
  const { faults } = await judge();
  expect(faults.join()).toContain('not those of the fold');
  expect(faults.join()).toContain('not what the trail says last');
}

(serverUrl === undefined ? describe.skip : describe)('processes killed over PostgreSQL', () => {
  const url = serverUrl ?? '';
  test.each(seeds(long ? 10 : 1))(
    'nothing accepted is lost, nothing is twice, the findings are those of the fold (seed %i)',
    (seed) =>
      withFolder(async (folder) => {
        const own = await createTestDatabase(url);
        try {
          const round = { seed, kills: 20, lasts: 6000, sites: 4, size: 60 };
          const slots = Array.from({ length: 3 }, () => ({ DATABASE_URL: own.url }));
          const { faults } = await play(round, folder, slots, () => openPostgresql(own.url), tamper);
          expect(faults).toEqual([]);
        } finally {
          await own.drop();
        }
      }),
    180_000,
  );
});

describe('processes killed over the embedded database', () => {
  test.each(seeds(long ? 10 : 1))(
    'nothing accepted is lost, nothing is twice, the findings are those of the fold (seed %i)',
    (seed) =>
      withFolder(async (folder) => {
        const data = path.join(folder, 'data');
        await mkdir(data);
        // A database made from nothing takes seconds, and so it is killed while it is being made in long runs alone.
        if (!long) await layFolder(data);
        const round = { seed, kills: 5, lasts: 6000, sites: 2, size: 40 };
        const { faults } = await play(round, folder, [{ STEPWEDGE_DATA_DIR: data }], () => openEmbedded(data));
        expect(faults).toEqual([]);
      }),
    180_000,
  );
});
