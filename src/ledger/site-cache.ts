import { LRUCache } from 'lru-cache';
import type { SiteState } from '../engine/state.js';

/** A folded site, standing at its last event, and what has been retracted there. Valid for one version of the head. */
export interface SiteEntry {
  version: number;
  readonly state: SiteState;
  readonly retracted: Set<string>;
  /** Events folded into the newest checkpoint that was kept. */
  readonly checkpointed: number;
}

/**
 * Folded states of this process, least recently used ones dropped first. A cache and nothing more: whoever finds no
 * entry of the head's version folds the ledger instead.
 *
 * A writer *takes* the entry out before it steps the state, because the steps may be rolled back with the transaction;
 * it *releases* it, under the new version, only after the commit. Readers may wait for that, outside any transaction.
 */
export class SiteCache {
  readonly #entries: LRUCache<string, SiteEntry>;
  readonly #taken = new Map<string, { released: Promise<void>; release: () => void }>();

  constructor(sites = 1000) {
    this.#entries = new LRUCache({ max: sites });
  }

  /** The entry, whatever its version, left in its place: for readers, who copy the state before they touch it. */
  peek(organisation: string, site: string): SiteEntry | undefined {
    return this.#entries.get(key(organisation, site));
  }

  /** The entry of that version, now the caller's alone until it calls `release`, which it must, with or without one. */
  take(organisation: string, site: string, version: number): SiteEntry | undefined {
    const name = key(organisation, site);
    const entry = this.#entries.get(name);
    this.#entries.delete(name);
    if (!this.#taken.has(name)) {
      let release = (): void => undefined;
      const released = new Promise<void>((resolve) => (release = resolve));
      this.#taken.set(name, { released, release });
    }
    return entry?.version === version ? entry : undefined;
  }

  release(organisation: string, site: string, entry: SiteEntry | undefined): void {
    const name = key(organisation, site);
    if (entry !== undefined) this.#keep(name, entry);
    this.#taken.get(name)?.release();
    this.#taken.delete(name);
  }

  /** Keep what a reader has folded, unless a writer is at work or a newer one is there. */
  offer(organisation: string, site: string, entry: SiteEntry): void {
    const name = key(organisation, site);
    if (!this.#taken.has(name)) this.#keep(name, entry);
  }

  /** Resolves when no writer holds the entry. */
  async settled(organisation: string, site: string): Promise<void> {
    await this.#taken.get(key(organisation, site))?.released;
  }

  #keep(name: string, entry: SiteEntry): void {
    const present = this.#entries.peek(name);
    if (present === undefined || present.version < entry.version) this.#entries.set(name, entry);
  }

  get size(): number {
    return this.#entries.size;
  }
}

function key(organisation: string, site: string): string {
  return `${organisation}\n${site}`;
}
