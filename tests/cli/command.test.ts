import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { type AddressInfo, createServer } from 'node:net';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import type { Command } from 'commander';
import { program } from '../../src/cli/program.js';
import { long } from '../faults/places.js';
import { layFolder } from '../support/folder.js';
import { nodeArguments } from '../support/sources.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-cli-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

interface Ended {
  code: number | null;
  out: string;
  error: string;
}
interface Running {
  child: ChildProcess;
  out: () => string;
  ended: Promise<Ended>;
}

/** The sources as they stand, in a process of their own. */
function start(file: string, args: string[] = [], env: Record<string, string> = {}): Running {
  const child = spawn(process.execPath, [...nodeArguments(new URL(`../../src/${file}`, import.meta.url)), ...args], {
    cwd: folder,
    env: { PATH: process.env['PATH'] ?? '', STEPWEDGE_DATA_DIR: path.join(folder, 'data'), PORT: '0', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let error = '';
  child.stdout?.on('data', (chunk) => (out += String(chunk)));
  child.stderr?.on('data', (chunk) => (error += String(chunk)));
  const ended = new Promise<Ended>((resolve) => child.on('close', (code) => resolve({ code, out, error })));
  return { child, out: () => out, ended };
}
const run = (...args: string[]): Promise<Ended> => start('cli/main.ts', args).ended;

/** One that was free a moment ago. */
async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
  const { port } = server.address() as AddressInfo;
  await new Promise((resolve) => server.close(resolve));
  return port;
}

async function until(running: Running, pattern: RegExp): Promise<RegExpExecArray> {
  const over = running.ended.then(({ error }) => {
    throw new Error(`It ended: ${error}`);
  });
  over.catch(() => undefined);
  for (;;) {
    const match = pattern.exec(running.out());
    if (match !== null) return match;
    await Promise.race([over, new Promise((resolve) => setTimeout(resolve, 50))]);
  }
}

/** A start that failed has used up no key: the next one shows it. */
async function startedAgain(port: string): Promise<void> {
  await layFolder(path.join(folder, 'other'));
  const samePort = await start('main.ts', [], { PORT: port, STEPWEDGE_DATA_DIR: path.join(folder, 'other') }).ended;
  expect(samePort).toMatchObject({ code: 1, error: expect.stringContaining(`:${port} already`) });
  const freePort = start('main.ts', [], { STEPWEDGE_DATA_DIR: path.join(folder, 'other') });
  await until(freePort, /sw\.main\.\S+/);
  freePort.child.kill('SIGTERM');
  expect((await freePort.ended).code).toBe(0);
}

test('docs/cli.md lists every command, and none that is not there', async () => {
  const named = ({ commands }: Command, path = ''): string[] =>
    commands.length === 0 ? [path] : commands.flatMap((one) => named(one, `${path} ${one.name()}`.trim()));
  const there = named(program);
  expect(there).toContain('packs check');
  const page = await readFile(new URL('../../docs/cli.md', import.meta.url), 'utf8');
  const told = [...page.matchAll(/^\| `stepwedge ([a-z]+(?: [a-z]+(?:-[a-z]+)*)?)/gm)].map(([, name]) => name);
  expect(told.sort()).toEqual(there.sort());
});

describe('the process', () => {
  test('prints its key once, keeps its folder to itself, stops at a signal and keeps what it was told', async () => {
    const first = start('main.ts');
    const [, url = ''] = await until(first, /listens on (http:\S+)/);
    const [key = ''] = await until(first, /sw\.main\.\S+/);
    const headers = { Authorization: `Bearer ${key}`, 'Content-Type': 'application/json' };
    const site = { name: 'A', timeZone: 'America/Denver', jurisdictions: ['us'], lines: [], tubes: [] };
    const put = await fetch(`${url}/v1/sites/a`, { method: 'PUT', headers, body: JSON.stringify(site) });
    expect(put.status).toBe(201);

    const rival = await start('cli/main.ts', ['serve']).ended;
    expect(rival.code).toBe(1);
    expect(rival.error).toMatch(/in use/);
    expect(rival.error).not.toMatch(/\n\s+at /);
    if (long) await startedAgain(new URL(url).port);

    first.child.kill('SIGTERM');
    expect((await first.ended).code).toBe(0);

    const second = start('cli/main.ts', ['serve'], { LOG_LEVEL: 'silent' });
    const [, again = ''] = await until(second, /listens on (http:\S+)/);
    expect((await fetch(`${again}/v1/sites/a`, { headers })).status).toBe(200);
    expect(second.out()).not.toContain('sw.main');
    second.child.kill('SIGINT');
    expect((await second.ended).code).toBe(0);

    const told = await run('packs', 'explain', 'a', 'darkroom-fog');
    expect(told).toMatchObject({ code: 0, out: expect.stringContaining('says at most 0.05; outside it is a warning') });
    const audit = await run('audit', 'verify');
    expect(audit).toMatchObject({ code: 0, out: expect.stringContaining('All chains hold') });
  }, 120_000);

  test('settings that cannot be used are a sentence and exit code 1', async () => {
    const { code, error } = await start('main.ts', [], { PORT: 'eighty' }).ended;
    expect(code).toBe(1);
    expect(error.trim()).toBe('PORT must be a whole number from 0 to 65535.');
  }, 60_000);
});

describe('the command', () => {
  test('migrate makes a database and says so', async () => {
    expect(await run('migrate')).toMatchObject({ code: 0, out: expect.stringContaining('up to date: 2026') });
  }, 60_000);

  // It plays its whole season first.
  (long ? test : test.skip)(
    'the demo serves where HOST and PORT say',
    async () => {
      const port = await freePort();
      const demo = start('cli/main.ts', ['demo'], { HOST: 'localhost', PORT: String(port) });
      const [, url] = await until(demo, /^Serving at (http:\S+)/m);
      expect(url).toBe(`http://localhost:${port}`);
      demo.child.kill('SIGTERM');
      expect((await demo.ended).code).toBe(0);
    },
    180_000,
  );

  (long ? test : test.skip)(
    'the demo does not start where it cannot serve',
    async () => {
      const other = createServer();
      await new Promise<void>((resolve) => other.listen(0, 'localhost', resolve));
      const { port } = other.address() as AddressInfo;
      const taken = await start('cli/main.ts', ['demo'], { HOST: 'localhost', PORT: String(port) }).ended;
      other.close();
      expect(taken).toMatchObject({ code: 1, error: expect.stringContaining(`:${port} already`) });
      const open = await start('cli/main.ts', ['demo', '--once'], { HOST: '0.0.0.0' }).ended;
      expect(open).toMatchObject({ code: 1, error: expect.stringContaining('STEPWEDGE_ADMIN_KEY') });
    },
    180_000,
  );

  test('packs check and test: the shipped ones are sound', async () => {
    expect(await run('packs', 'check')).toMatchObject({ code: 0, out: expect.stringMatching(/\d+ packs, 0 errors/) });
    expect(await run('packs', 'test')).toMatchObject({
      code: 0,
      out: expect.stringMatching(/\d+ tests of \d+ packs, 0 failed/),
    });
  }, 60_000);

  test('packs check shows the place of a fault in a pack of your own', async () => {
    const file = path.join(folder, 'own.yaml');
    await writeFile(file, 'pack: clinic/own\nversion: 1.0.0\ntitle: Own\nauthority: The clinic\nlayer: clinc\n');
    const { code, out } = await run('packs', 'check', file);
    expect(code).toBe(1);
    expect(out).toMatch(/own\.yaml:5:\d+ error unknown-word/);
    expect(out).toContain('clinic');
    expect(out).toMatch(/1 pack, \d+ error/);
    expect(await run('packs', 'check', path.join(folder, 'nowhere.yaml'))).toMatchObject({
      code: 1,
      error: expect.stringMatching(/^There is no file or folder .*nowhere\.yaml/),
    });
  }, 60_000);

  test('openapi prints the contract; a slip in a command is told', async () => {
    expect((await run('openapi')).out).toMatch(/^openapi: 3\.1\.0/);
    const { code, error } = await run('migate');
    expect(code).toBe(1);
    expect(error).toContain('migrate');
  }, 60_000);
});
