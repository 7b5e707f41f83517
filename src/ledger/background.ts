import type { Ledger } from './context.js';
import { rejudge } from './rejudge.js';

/** Sites that wait at most; the sweeper finds those that are left out, since their heads say that they wait. */
const mostAsked = 10_000;

/** Replays sites one after another, apart from any request. A site asked for twice is done once. */
export class Background {
  readonly #ledger: Ledger;
  readonly #asked = new Map<string, { readonly organisation: string; readonly site: string }>();
  #running: Promise<void> | undefined;
  #stopped = false;

  constructor(ledger: Ledger) {
    this.#ledger = ledger;
  }

  request(organisation: string, site: string): void {
    if (this.#stopped || this.#asked.size >= mostAsked) return;
    this.#asked.set(`${organisation}\n${site}`, { organisation, site });
    this.#running ??= this.#run().finally(() => (this.#running = undefined));
  }

  /** Resolves when nothing is waiting any more. */
  async settled(): Promise<void> {
    while (this.#running !== undefined) await this.#running;
  }

  /** Finishes the site at hand and leaves the rest to the next start. */
  async stop(): Promise<void> {
    this.#stopped = true;
    await this.settled();
  }

  async #run(): Promise<void> {
    // A turn later: the first request may come from within somebody's transaction.
    await new Promise((resolve) => setImmediate(resolve));
    for (const [key, { organisation, site }] of this.#asked) {
      if (this.#stopped) break;
      this.#asked.delete(key);
      try {
        await rejudge(this.#ledger, organisation, site);
      } catch (error) {
        this.#ledger.log.error({ organisation, site, err: error }, 'A replay failed; the next sweep tries again.');
      }
    }
  }
}
