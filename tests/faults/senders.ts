import { setTimeout as wait } from 'node:timers/promises';
import type { SentEvent } from '../../src/cli/demo/teller.js';
import { keyOf } from '../../src/ledger/read.js';
import type { Chance } from './chance.js';
import { type Clock, readClock, wallOf } from './clock.js';
import type { Load } from './load.js';
import { adminKey } from './process.js';

interface Answer {
  readonly results?: readonly {
    readonly source: string;
    readonly id: string;
    readonly status: string;
    readonly problem?: { readonly code: string; readonly detail?: string };
  }[];
  readonly code?: string;
}

export interface SendersOptions {
  readonly chance: Chance;
  readonly clock: Clock;
  /** Addresses of the servers that listen now. */
  readonly urls: () => readonly string[];
  /** How far the run has come, 0 to 1: the load is spread over all of it. */
  readonly progress: () => number;
  readonly senders: number;
  /** Share of batches that go out twice at once, and of those that are sent again afterwards; default 0.1. */
  readonly twice?: number;
}

/**
 * Offices that send until they have an answer: to any server, again after every failure, now and then twice at once or
 * once more for good measure. What was answered is the model that the ledger is held against.
 */
export class Senders {
  /** Times that an event was answered `accepted` and `duplicate`, by `keyOf`. */
  readonly accepted = new Map<string, number>();
  readonly known = new Map<string, number>();
  /** Requests by how they came out: a status and its code, or the error of the connection. */
  readonly outcomes = new Map<string, number>();
  readonly rejected: string[] = [];
  readonly #options: SendersOptions;

  constructor(options: SendersOptions) {
    this.#options = options;
  }

  /** Resolves when every event of the load has been answered. */
  async run({ first, batches }: Load): Promise<void> {
    await this.#deliver(first);
    let next = 0;
    const { senders, progress, clock, chance, twice = 0.1 } = this.#options;
    const one = async (): Promise<void> => {
      for (;;) {
        const at = next++;
        const batch = batches[at];
        if (batch === undefined) return;
        const newest = Math.max(...batch.map(({ time }) => Date.parse(time)));
        while (progress() < at / batches.length || readClock(clock) < newest) {
          await wait(Math.min(50, Math.max(5, wallOf(clock, newest) - Date.now())));
        }
        const both = chance.next() < twice;
        await Promise.all([this.#deliver(batch), ...(both ? [this.#deliver(batch)] : [])]);
        if (chance.next() < twice) await this.#deliver(batch);
      }
    };
    await Promise.all(Array.from({ length: senders }, one));
  }

  async #deliver(batch: readonly SentEvent[]): Promise<void> {
    for (let tries = 1; ; tries++) {
      const url = this.#anyServer();
      const answer = url === undefined ? undefined : await this.#post(url, batch);
      const open = answer?.results?.some(
        ({ problem }) => problem?.code === 'unavailable' || problem?.code === 'storage-full',
      );
      if (answer?.results !== undefined && open !== true) {
        this.#note(answer.results);
        return;
      }
      if (answer?.results !== undefined) this.#note(answer.results.filter(({ status }) => status !== 'rejected'));
      await wait(url === undefined ? 20 : Math.min(500, 20 * tries));
    }
  }

  #anyServer(): string | undefined {
    const urls = this.#options.urls();
    return urls[this.#options.chance.below(urls.length)];
  }

  async #post(url: string, batch: readonly SentEvent[]): Promise<Answer | undefined> {
    try {
      const response = await fetch(`${url}/v1/events`, {
        method: 'POST',
        headers: { Authorization: `Bearer ${adminKey}`, 'Content-Type': 'application/cloudevents-batch+json' },
        body: JSON.stringify(batch),
        signal: AbortSignal.timeout(20_000),
      });
      const answer = (await response.json()) as Answer;
      count(this.outcomes, answer.code === undefined ? `${response.status}` : `${response.status} ${answer.code}`);
      return response.status === 200 ? answer : undefined;
    } catch {
      count(this.outcomes, 'no answer');
      return undefined;
    }
  }

  /** An answer of 200 that somebody else got. */
  note(body: string): void {
    this.#note((JSON.parse(body) as Answer).results ?? []);
  }

  #note(results: NonNullable<Answer['results']>): void {
    for (const { source, id, status, problem } of results) {
      if (status === 'accepted') count(this.accepted, keyOf({ source, id }));
      else if (status === 'duplicate') count(this.known, keyOf({ source, id }));
      else this.rejected.push(`${source} ${id}: ${problem?.detail ?? problem?.code ?? status}`);
    }
  }
}

function count(map: Map<string, number>, key: string): void {
  map.set(key, (map.get(key) ?? 0) + 1);
}
