import { execFile } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { appendFile, chown, mkdir, mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import os from 'node:os';
import path from 'node:path';
import { promisify } from 'node:util';

const run = promisify(execFile);

/** Folder of PostgreSQL's own programs on this machine. */
export const programs = findPrograms();

function findPrograms(): string | undefined {
  const root = '/usr/lib/postgresql';
  const versions = existsSync(root) ? readdirSync(root).sort((a, b) => Number(b) - Number(a)) : [];
  return [
    ...versions.map((version) => path.join(root, version, 'bin')),
    ...(process.env['PATH'] ?? '').split(':'),
  ].find((folder) => existsSync(path.join(folder, 'initdb')) && existsSync(path.join(folder, 'pg_ctl')));
}

const asRoot = process.getuid?.() === 0;

/** A PostgreSQL of a test's own, on a free port of this machine, that may be stopped and broken. */
export class Cluster {
  private constructor(
    readonly folder: string,
    /** Its files but the log. */
    readonly data: string,
    private readonly port: number,
  ) {}

  /** @param place makes the folder of its files, if that shall lie elsewhere, and answers its path. */
  static async create(place?: (folder: string) => Promise<string>): Promise<Cluster> {
    const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-cluster-'));
    try {
      if (asRoot) await own(folder);
      const data = path.join((await place?.(folder)) ?? folder, 'data');
      await mkdir(data, { mode: 0o700 });
      if (asRoot) await own(data);
      const cluster = new Cluster(folder, data, await freePort());
      await cluster.#do('initdb', '-D', data, '-X', path.join(folder, 'wal'), '-U', 'postgres', '-A', 'trust', '-N');
      await appendFile(
        path.join(data, 'postgresql.conf'),
        `listen_addresses = '127.0.0.1'\nport = ${cluster.port}\nunix_socket_directories = ''\nmax_connections = 30\n`,
      );
      await cluster.start();
      return cluster;
    } catch (error) {
      await rm(folder, { recursive: true, force: true });
      throw error;
    }
  }

  get url(): string {
    return `postgresql://postgres@127.0.0.1:${this.port}/postgres`;
  }

  async start(): Promise<void> {
    await this.#do('pg_ctl', 'start', '-w', '-D', this.data, '-l', path.join(this.folder, 'log'));
  }

  /** `immediate`: as if its processes had been killed; it recovers at its next start. */
  async restart(mode: 'fast' | 'immediate'): Promise<void> {
    await this.#do('pg_ctl', 'restart', '-w', '-D', this.data, '-m', mode, '-l', path.join(this.folder, 'log'));
  }

  async drop(): Promise<void> {
    await this.#do('pg_ctl', 'stop', '-w', '-D', this.data, '-m', 'immediate').catch(() => undefined);
    await rm(this.folder, { recursive: true, force: true });
  }

  /** PostgreSQL refuses to run as root. */
  async #do(program: string, ...args: string[]): Promise<void> {
    const file = path.join(programs ?? '', program);
    const options = { cwd: this.folder, env: { PATH: process.env['PATH'] ?? '', LC_ALL: 'C' }, timeout: 60_000 };
    // Nothing is piped: the server that pg_ctl leaves behind would keep a pipe open, and the call would never return.
    const [command, before] = asRoot ? ['runuser', ['-u', 'postgres', '--', file]] : [file, []];
    await run('sh', ['-c', '"$0" "$@" >>"$OUT" 2>&1', command, ...before, ...args], {
      ...options,
      env: { ...options.env, OUT: path.join(this.folder, 'steps') },
    });
  }
}

async function own(file: string): Promise<void> {
  const { stdout } = await run('id', ['-u', 'postgres']);
  await chown(file, Number(stdout), -1);
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address() as AddressInfo;
      server.close(() => resolve(port));
    });
  });
}
