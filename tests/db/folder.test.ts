import { spawn } from 'node:child_process';
import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { expect, test } from '@jest/globals';
import { openEmbedded } from '../../src/db/embedded/embedded.js';
import { lockFolder } from '../../src/db/embedded/lock.js';
import { DatabaseStartError } from '../../src/db/errors.js';
import { layFolder } from '../support/folder.js';
import { nodeArguments } from '../support/sources.js';
import { insertOrganisation } from './rows.js';

/** All at once, each in a folder of its own: most of them wait for a lock to grow old. */
function inFolder(name: string, work: (folder: string) => Promise<void>, when = true): void {
  const one = when ? test.concurrent : test.concurrent.skip;
  one(
    name,
    async () => {
      const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-test-'));
      try {
        await work(folder);
      } finally {
        await rm(folder, { recursive: true, force: true });
      }
    },
    60_000,
  );
}

/** Another process with the folder open and an organisation committed. */
async function openElsewhere(folder: string, organisation: string) {
  const program = nodeArguments(new URL('child.ts', import.meta.url));
  const child = spawn(process.execPath, [...program, folder, organisation]);
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  let said = '';
  child.stderr.on('data', (data: Buffer) => (said += data.toString()));
  await new Promise<void>((resolve, reject) => {
    child.stdout.on('data', (data: Buffer) => data.includes('committed') && resolve());
    void ended.then(() => reject(new Error(`The other process ended: ${said}`)));
  });
  return {
    pid: child.pid,
    kill: () => {
      child.kill('SIGKILL');
      return ended;
    },
  };
}

const failure = (attempt: Promise<unknown>) =>
  attempt.then(
    () => Promise.reject(new Error('It opened.')),
    (error: unknown) => error,
  );

inFolder('what was committed is there again at the next opening, and the folder is left unlocked', async (folder) => {
  await layFolder(folder);
  const first = await openEmbedded(folder);
  await first.withOrganisation('north', (tx) => insertOrganisation(tx, 'north'));
  await first.close();
  expect(await readdir(folder)).toEqual(['database']);
  const second = await openEmbedded(folder);
  expect(await second.organisations()).toEqual(['north']);
  expect(second.durability).toContain('fsync off');
  await second.close();
});

inFolder('a folder that is open already is refused in a sentence that names it', async (folder) => {
  await layFolder(folder);
  const database = await openEmbedded(folder);
  const error = await failure(openEmbedded(folder));
  expect(error).toBeInstanceOf(DatabaseStartError);
  expect(String(error)).toContain(`The data folder ${folder} is in use by process ${process.pid}`);
  await database.close();
});

inFolder(
  'a folder of another living process is refused; of a killed one it is taken over, with all that was committed',
  async (folder) => {
    await layFolder(folder);
    const other = await openElsewhere(folder, 'north');
    const error = await failure(openEmbedded(folder));
    expect(String(error)).toContain(`is in use by process ${other.pid}`);
    await other.kill();
    const started = Date.now();
    const database = await openEmbedded(folder);
    expect(Date.now() - started).toBeLessThan(20_000);
    expect(await database.organisations()).toEqual(['north']);
    await database.withOrganisation('south', (tx) => insertOrganisation(tx, 'south'));
    await database.close();
  },
);

inFolder('when the folder is taken away from a running process, it stops writing and says why', async (folder) => {
  await layFolder(folder);
  const database = await openEmbedded(folder);
  await database.ping();
  // As when another process took the lock for abandoned, after this one had been suspended for long.
  await rm(path.join(folder, 'lock'), { recursive: true });
  let reason = '';
  for (let waited = 0; waited < 15_000 && !reason; waited += 250) {
    await new Promise((resolve) => setTimeout(resolve, 250));
    await database.ping().catch((error: unknown) => (reason = String(error)));
  }
  expect(reason).toContain(`Another process has taken over the data folder ${folder}`);
  await database.close();
});

inFolder(
  'a database whose making was broken off is made anew, and is there again at the next opening',
  async (folder) => {
    await mkdir(path.join(folder, 'database', 'base'), { recursive: true });
    await writeFile(path.join(folder, 'database', 'PG_VERSION'), '17\n');
    await writeFile(path.join(folder, 'database-unfinished'), '');
    const database = await openEmbedded(folder);
    expect(await database.organisations()).toEqual([]);
    await database.withOrganisation('north', (tx) => insertOrganisation(tx, 'north'));
    await database.close();
    expect(await readdir(folder)).toEqual(['database']);
    const again = await openEmbedded(folder);
    expect(await again.organisations()).toEqual(['north']);
    await again.close();
  },
  // A database made from nothing takes seconds; other tests make one every day.
  process.env['STEPWEDGE_LONG'] === '1',
);

inFolder('a lock whose holder died before it wrote its name is taken over', async (folder) => {
  await mkdir(path.join(folder, 'lock'));
  const release = await lockFolder(folder, () => undefined);
  await expect(lockFolder(folder, () => undefined)).rejects.toThrow(`is in use by process ${process.pid}`);
  await release();
});

inFolder('a file in the place of the folder is refused in a sentence', async (folder) => {
  const file = path.join(folder, 'file');
  await writeFile(file, 'not a folder');
  const error = await failure(openEmbedded(path.join(file, 'data')));
  expect(error).toBeInstanceOf(DatabaseStartError);
  expect(String(error)).toContain(`The data folder ${path.join(file, 'data')} cannot be used`);
});

inFolder('files that are no database are refused, and the folder is not left locked', async (folder) => {
  await mkdir(path.join(folder, 'database'));
  await writeFile(path.join(folder, 'database', 'PG_VERSION'), '9.6\n');
  for (let attempt = 1; attempt <= 2; attempt++) {
    const error = await failure(openEmbedded(folder));
    expect(error).toBeInstanceOf(DatabaseStartError);
    expect(String(error)).toMatch(/The embedded database in .* could not be started: .* written by PostgreSQL 9\.6;/);
  }
});
