import { setTimeout as wait } from 'node:timers/promises';
import type { Chance } from './chance.js';
import type { Orders } from './child.js';
import type { Clock } from './clock.js';
import { type Death, death } from './plan.js';
import { type Ended, ServerProcess } from './process.js';

/** Events between checkpoints: close, so that short ledgers have many. */
export const spacing = 10;

/** Longest that a fuse may smoulder in a process that listens, ms. */
const patience = 1500;

export interface FleetOptions {
  readonly chance: Chance;
  readonly clock: Clock;
  /** Processes killed in all. */
  readonly kills: number;
  /** Environments: a list of processes that live at the same time (one PostgreSQL), or one after another in each (a folder). */
  readonly slots: readonly (() => Readonly<Record<string, string>>)[];
  /** Whether the database may have to be made by the process that is about to start. */
  readonly early: () => boolean;
}

/** Server processes that are started, killed and started again, until enough have died. */
export class Fleet {
  /** What was under way, by how it died. */
  readonly deaths = new Map<string, number>();
  killed = 0;
  /** Processes that ended by themselves, which none should. */
  readonly gaveUp: Ended[] = [];
  readonly #live = new Set<ServerProcess>();
  readonly #options: FleetOptions;
  #begun = 0;

  constructor(options: FleetOptions) {
    this.#options = options;
  }

  /** Addresses of the processes that listen now. */
  urls(): string[] {
    return [...this.#live].flatMap(({ url }) => url ?? []);
  }

  /** Kills as many as were asked for; one more then serves until `done`, and is killed too. */
  async run(done: Promise<unknown>): Promise<void> {
    await Promise.all(this.#options.slots.map((env) => this.#slot(env)));
    const [first] = this.#options.slots;
    const last = new ServerProcess(first?.() ?? {}, this.#orders());
    this.#live.add(last);
    try {
      await last.up();
      await done;
    } finally {
      this.#live.delete(last);
      await last.kill();
    }
    this.#count('with everything sent');
  }

  #count(how: string): void {
    this.killed += 1;
    this.deaths.set(how, (this.deaths.get(how) ?? 0) + 1);
  }

  #orders(): Orders {
    return { clock: this.#options.clock, sweepEvery: 150, spacing };
  }

  async #slot(env: () => Readonly<Record<string, string>>): Promise<void> {
    const { kills, chance, early } = this.#options;
    // The last one is killed when all is sent.
    while (this.#begun < kills - 1) {
      this.#begun += 1;
      const plan = death(chance, early());
      const server = new ServerProcess(env(), {
        ...this.#orders(),
        ...(plan.by === 'fuse' ? { fuse: plan.fuse } : {}),
      });
      this.#live.add(server);
      const how = await this.#await(server, plan);
      const ended = await server.kill();
      this.#live.delete(server);
      if (ended.signal === 'SIGKILL') {
        this.#count(how);
      } else {
        // Not counted as a kill: another one takes its place.
        this.#begun -= 1;
        this.gaveUp.push(ended);
        if (this.gaveUp.length > 3) throw new Error(`Servers end by themselves: ${ended.error}`);
      }
    }
  }

  /** Resolves when it is time to kill, or when the fuse has done so. */
  async #await(server: ServerProcess, plan: Death): Promise<string> {
    const stop = new AbortController();
    void server.ended.then(() => stop.abort());
    const pause = (ms: number) => wait(ms, undefined, { signal: stop.signal }).catch(() => undefined);
    if (plan.by === 'start') {
      await server.opening;
      await pause(plan.after);
      return server.url === undefined ? 'while it started' : 'soon after it listened';
    }
    const up = server.listening.then((url) => url !== undefined);
    if (plan.by === 'clock') {
      await up;
      await pause(plan.after);
      return 'at any moment';
    }
    if (await up) await pause(patience);
    // A fuse that never burns is put an end to.
    return server.over ? plan.at : 'at any moment';
  }
}
