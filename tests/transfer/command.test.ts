import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { readConfig } from '../../src/config.js';
import { openDatabase } from '../../src/db/open.js';
import { long, serverUrl } from '../faults/places.js';
import { createTestDatabase, testDatabases } from '../support/database.js';
import { layFolder } from '../support/folder.js';
import { nodeArguments } from '../support/sources.js';
import { fileOf } from './file.js';

const command = nodeArguments(new URL('../../src/cli/main.ts', import.meta.url));

/** Processes of their own take seconds each; what they run is tested without them as well. */
const slow = long ? test : test.skip;

let folder: string;
let text: string;
beforeAll(async () => {
  if (!long) return;
  folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-transfer-'));
  const [kind] = testDatabases();
  if (kind === undefined) throw new Error('There is no database.');
  // Not loaded where nothing is tried.
  const { season } = await import('./season.js');
  const { api } = await season(await kind.open(), 300);
  ({ text } = await fileOf(api.database));
  await api.close();
  await writeFile(path.join(folder, 'main.ndjson'), text);
}, 120_000);
afterAll(async () => {
  if (long) await rm(folder, { recursive: true, force: true });
});

const eventsIn = (file: string): number => file.match(/^{"kind":"event"/gm)?.length ?? 0;

interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly error: string;
}

function start(args: readonly string[], env: Record<string, string>): { child: ChildProcess; ended: Promise<Ended> } {
  const child = spawn(process.execPath, [...command, ...args], {
    cwd: folder,
    env: { PATH: process.env['PATH'] ?? '', PORT: '0', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let error = '';
  child.stdout?.on('data', (chunk) => (out += String(chunk)));
  child.stderr?.on('data', (chunk) => (error += String(chunk)));
  const ended = once(child, 'close').then(([code]) => ({ code: code as number | null, out, error }));
  return { child, ended };
}
const run = (args: readonly string[], env: Record<string, string>): Promise<Ended> => start(args, env).ended;
const inFolder = (name: string): Record<string, string> => ({ STEPWEDGE_DATA_DIR: path.join(folder, name) });

slow(
  'a file goes into a folder and out again, for nobody else to read; what cannot be done is a sentence',
  async () => {
    const first = await run(['import', 'main.ndjson'], inFolder('first'));
    expect(first).toMatchObject({
      code: 0,
      out: expect.stringMatching(new RegExp(`${eventsIn(text)} events, 2 sites.*Every finding is.*sw\\.main\\.`, 's')),
    });
    expect(await run(['export', '-o', 'again.ndjson'], inFolder('first'))).toMatchObject({ code: 0, error: '' });
    expect((await stat(path.join(folder, 'again.ndjson'))).mode & 0o777).toBe(0o600);
    expect(eventsIn(await readFile(path.join(folder, 'again.ndjson'), 'utf8'))).toBe(eventsIn(text));

    const refused = async (args: string[], where: string, reason: RegExp) => {
      const { code, error } = await run(args, inFolder(where));
      expect(error).toMatch(reason);
      expect(error).not.toMatch(/\n\s+at /);
      expect(code).toBe(1);
    };
    await refused(['export', '-o', 'again.ndjson'], 'first', /again.ndjson is there already/);
    await refused(['export', '-o', 'more.ndjson'], 'frist', /There is no database in .*frist/);
    await refused(['export', '-o', 'more.ndjson', '--organisation', 'mian'], 'first', /did you mean main\?\n$/);
    await refused(['import', 'main.ndjson'], 'first', /there is an organisation main in this database already/);
    await refused(['import', '.'], 'second', /cannot be read: EISDIR/);
    await refused(['import', 'nowhere.ndjson'], 'second', /cannot be read: ENOENT/);

    const server = start(['serve'], inFolder('first'));
    await new Promise<void>((resolve) =>
      server.child.stdout?.on('data', (chunk) => /listens/.test(String(chunk)) && resolve()),
    );
    await refused(['export', '-o', 'more.ndjson'], 'first', /is in use by process \d+ .*Stop that one first/);
    server.child.kill('SIGTERM');
    // The key that the import showed is in force: the server makes no other.
    expect(await server.ended).toMatchObject({ code: 0, out: expect.not.stringContaining('first key') });
  },
  300_000,
);

const places: [string, () => Promise<{ env: Record<string, string>; remove: () => Promise<void> }>][] = [
  [
    'the embedded database',
    async () => {
      await layFolder(path.join(folder, 'killed'));
      return { env: inFolder('killed'), remove: () => Promise.resolve() };
    },
  ],
];
if (serverUrl !== undefined) {
  places.push([
    'PostgreSQL',
    async () => {
      const { url, drop } = await createTestDatabase(serverUrl ?? '');
      return { env: { DATABASE_URL: url }, remove: drop };
    },
  ]);
}

for (const [where, place] of places) {
  slow(
    `killed at any point, an import into ${where} leaves nothing or all of it, and can be begun again`,
    async () => {
      const { env, remove } = await place();
      const pipe = path.join(folder, `pipe-${places.length}-${where.length}`);
      execFileSync('mkfifo', [pipe]);
      const there = async (): Promise<string[]> => {
        const database = await openDatabase(readConfig(env));
        return database.organisations().finally(() => database.close());
      };
      try {
        const lastLine = text.trimEnd().lastIndexOf('\n') + 1;
        for (const end of [text.length * 0.2, text.length * 0.7, lastLine]) {
          const { child, ended } = start(['import', pipe], env);
          // Opens when the other side does; what was given by then has been read but for what the pipe holds.
          const writer = createWriteStream(pipe);
          writer.on('error', () => undefined);
          await new Promise<void>((resolve) => writer.write(text.slice(0, end), () => resolve()));
          await new Promise((resolve) => setTimeout(resolve, 1000));
          expect(child.exitCode).toBeNull();
          child.kill('SIGKILL');
          await ended;
          writer.destroy();
          expect(await there()).toEqual([]);
        }
        // About when it commits: either has happened, and nothing between.
        const outcomes = new Set<string>();
        for (const delay of [0, 40, 150]) {
          if (outcomes.has('whole')) break;
          const { child, ended } = start(['import', pipe], env);
          const writer = createWriteStream(pipe);
          await new Promise<void>((resolve) => writer.end(text, () => resolve()));
          await new Promise((resolve) => setTimeout(resolve, delay));
          child.kill('SIGKILL');
          await ended;
          outcomes.add((await there()).length === 0 ? 'nothing' : 'whole');
        }
        if (!outcomes.has('whole')) expect(await run(['import', 'main.ndjson'], env)).toMatchObject({ code: 0 });
        const whole = await openDatabase(readConfig(env));
        const { told } = await fileOf(whole).finally(() => whole.close());
        expect(told.counts).toMatchObject({ event: eventsIn(text), site: 2 });
        expect(await run(['audit', 'verify'], env)).toMatchObject({ code: 0 });
      } finally {
        await remove();
      }
    },
    300_000,
  );
}
