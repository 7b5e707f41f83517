import { spawn } from 'node:child_process';
import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { afterEach, beforeEach, expect, test } from '@jest/globals';
import { openEmbedded } from '../../src/db/embedded/embedded.js';
import { lockFolder } from '../../src/db/embedded/lock.js';
import { DatabaseStartError } from '../../src/db/errors.js';
import { insertOrganisation } from './rows.js';

let folder: string;

beforeEach(async () => {
  folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-test-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

/** Another process with the folder open and an organisation committed. */
async function openElsewhere(organisation: string) {
  const here = path.dirname(fileURLToPath(import.meta.url));
  const hooks = pathToFileURL(path.join(here, '../support/typescript.mjs')).href;
  const child = spawn(process.execPath, ['--import', hooks, path.join(here, 'child.ts'), folder, organisation]);
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

test('what was committed is there again at the next opening, and the folder is left unlocked', async () => {
  const first = await openEmbedded(folder);
  await first.withOrganisation('north', (tx) => insertOrganisation(tx, 'north'));
  await first.close();
  expect(await readdir(folder)).toEqual(['database']);
  const second = await openEmbedded(folder);
  expect(await second.organisations()).toEqual(['north']);
  expect(second.durability).toContain('fsync off');
  await second.close();
});

test('a folder that is open already is refused in a sentence that names it', async () => {
  const database = await openEmbedded(folder);
  const error = await failure(openEmbedded(folder));
  expect(error).toBeInstanceOf(DatabaseStartError);
  expect(String(error)).toContain(`The data folder ${folder} is in use by process ${process.pid}`);
  await database.close();
});

test('a folder of another living process is refused; of a killed one it is taken over, with all that was committed', async () => {
  const other = await openElsewhere('north');
  const error = await failure(openEmbedded(folder));
  expect(String(error)).toContain(`is in use by process ${other.pid}`);
  await other.kill();
  const started = Date.now();
  const database = await openEmbedded(folder);
  expect(Date.now() - started).toBeLessThan(20_000);
  expect(await database.organisations()).toEqual(['north']);
  await database.withOrganisation('south', (tx) => insertOrganisation(tx, 'south'));
  await database.close();
});

test('when the folder is taken away from a running process, it stops writing and says why', async () => {
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

test('a database whose making was broken off is made anew', async () => {
  await mkdir(path.join(folder, 'database', 'base'), { recursive: true });
  await writeFile(path.join(folder, 'database', 'PG_VERSION'), '17\n');
  await writeFile(path.join(folder, 'database-unfinished'), '');
  const database = await openEmbedded(folder);
  expect(await database.organisations()).toEqual([]);
  await database.close();
  expect(await readdir(folder)).toEqual(['database']);
});

test('a lock whose holder died before it wrote its name is taken over', async () => {
  await mkdir(path.join(folder, 'lock'));
  const release = await lockFolder(folder, () => undefined);
  await expect(lockFolder(folder, () => undefined)).rejects.toThrow(`is in use by process ${process.pid}`);
  await release();
});

test('a file in the place of the folder is refused in a sentence', async () => {
  const file = path.join(folder, 'file');
  await writeFile(file, 'not a folder');
  const error = await failure(openEmbedded(path.join(file, 'data')));
  expect(error).toBeInstanceOf(DatabaseStartError);
  expect(String(error)).toContain(`The data folder ${path.join(file, 'data')} cannot be used`);
});

test('files that are no database are refused, and the folder is not left locked', async () => {
  await mkdir(path.join(folder, 'database'));
  await writeFile(path.join(folder, 'database', 'PG_VERSION'), '9.6\n');
  for (let attempt = 1; attempt <= 2; attempt++) {
    const error = await failure(openEmbedded(folder));
    expect(error).toBeInstanceOf(DatabaseStartError);
    expect(String(error)).toMatch(/The embedded database in .* could not be started: .* written by PostgreSQL 9\.6;/);
  }
});
