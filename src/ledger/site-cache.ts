import { LRUCache } from 'lru-cache';
import type { SiteState } from '../engine/state.js';

/** A folded site, standing at its last event, and what has been retracted there. Valid for one version of the head. */
export interface SiteEntry {
  version: number;
  readonly state: SiteState;
  readonly retracted: Set<string>;
  /** Events folded into the state, and into the newest checkpoint that was kept. */
  readonly folded: number;
  readonly checkpointed: number;
}

const defaults = { sites: 10_000, memory: 256 * 1024 * 1024 };
/** Heap that a state takes for each character of its JSON, and that an entry takes besides; measured, and rounded up. */
const heapPerCharacter = 2.5;
const heapPerEntry = 2_000;
/** Versions for which a size once measured is believed: a state grows slowly, and writing it down is not cheap. */
const measuredEvery = 100;

/**
 * Folded states of this process, as many as their share of memory holds, least recently used ones dropped first. A cache and nothing more: whoever finds no
 * entry of the head's version folds the ledger instead.
 *
 * A writer *takes* the entry out before it steps the state, because the steps may be rolled back with the transaction;
 * it *releases* it, under the new version, only after the commit. Readers may wait for that, outside any transaction.
 */
export class SiteCache {
  readonly #entries: LRUCache<string, SiteEntry>;
  readonly #sizes = new WeakMap<SiteState, { readonly version: number; readonly size: number }>();
  readonly #taken = new Map<string, { released: Promise<void>; release: () => void }>();

  /** @param memory bytes that the states may take, about. */
  constructor(sites = defaults.sites, memory = defaults.memory) {
    this.#entries = new LRUCache({ max: sites, maxSize: memory });
  }

  /** Bytes, about. */
  get memory(): number {
    return this.#entries.calculatedSize;
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
    if (present === undefined || present.version < entry.version)
      this.#entries.set(name, entry, { size: this.#sizeOf(entry) });
  }

  /** Bytes, about; written down only now and then. */
  #sizeOf(entry: SiteEntry): number {
    const known = this.#sizes.get(entry.state);
    if (known !== undefined && entry.version - known.version < measuredEvery) return known.size;
    const size = Math.ceil(JSON.stringify(entry.state).length * heapPerCharacter) + heapPerEntry;
    this.#sizes.set(entry.state, { version: entry.version, size });
    return size;
  }

  get size(): number {
    return this.#entries.size;
  }
}

function key(organisation: string, site: string): string {
  return `${organisation}\n${site}`;
}
