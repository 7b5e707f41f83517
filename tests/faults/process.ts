import { type ChildProcess, spawn } from 'node:child_process';
import { nodeArguments } from '../support/sources.js';
import type { Orders } from './child.js';

const child = nodeArguments(new URL('child.ts', import.meta.url));

/** The key that every server of a run is told to honour. */
export const adminKey = 'a-key-for-the-fault-tests';

export interface Ended {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  /** All that it wrote. */
  readonly out: string;
  readonly error: string;
}

/** A server in a process of its own, from the sources as they stand. */
export class ServerProcess {
  readonly ended: Promise<Ended>;
  /** Its address, as soon as it listens; undefined if it ended before. */
  readonly listening: Promise<string | undefined>;
  /** Resolves when it is about to open its database, or has ended. */
  readonly opening: Promise<void>;
  url: string | undefined;
  over = false;
  readonly #child: ChildProcess;
  #out = '';
  #error = '';

  constructor(env: Readonly<Record<string, string>>, orders: Orders = {}) {
    this.#child = spawn(process.execPath, [...child, JSON.stringify(orders)], {
      env: {
        PATH: process.env['PATH'] ?? '',
        PORT: '0',
        LOG_LEVEL: 'warn',
        STEPWEDGE_ADMIN_KEY: adminKey,
        STEPWEDGE_RATE_LIMIT: '0',
        ...env,
      },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.ended = new Promise((resolve) => {
      this.#child.once('close', (code, signal) => {
        this.over = true;
        this.url = undefined;
        resolve({ code, signal, out: this.#out, error: this.#error });
      });
    });
    this.#child.stderr?.on('data', (chunk: Buffer) => (this.#error += chunk.toString()));
    const said = (pattern: RegExp) =>
      new Promise<RegExpExecArray | undefined>((resolve) => {
        const look = (): void => {
          const match = pattern.exec(this.#out);
          if (match !== null) resolve(match);
        };
        this.#child.stdout?.on('data', look);
        void this.ended.then(() => resolve(undefined));
      });
    this.#child.stdout?.on('data', (chunk: Buffer) => (this.#out += chunk.toString()));
    this.opening = said(/^opening$/m).then(() => undefined);
    this.listening = said(/^listens (\S+)$/m).then((match) => {
      if (!this.over) this.url = match?.[1];
      return this.url;
    });
  }

  get pid(): number | undefined {
    return this.#child.pid;
  }

  /** Without warning; resolves when it is gone. */
  kill(signal: NodeJS.Signals = 'SIGKILL'): Promise<Ended> {
    if (!this.over) this.#child.kill(signal);
    return this.ended;
  }

  /** @throws with what it wrote, when it ended instead of listening. */
  async up(): Promise<string> {
    const url = await this.listening;
    if (url !== undefined) return url;
    const { code, signal, error } = await this.ended;
    throw new Error(`The server ended (${code ?? signal}) before it listened: ${error}`);
  }
}
