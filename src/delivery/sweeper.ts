import { dueSites } from '../db/sql/due-sites.js';
import type { Transaction } from '../db/port.js';
import type { Ledger } from '../ledger/context.js';
import { sweepOver } from '../ledger/fold-site.js';
import { fetchHeads, saveHeads } from '../ledger/heads.js';
import { judgedBy } from '../ledger/judged-by.js';
import { judging, judgingLocked } from '../ledger/judging.js';
import { foldFailure } from '../ledger/open-sites.js';
import { rejudge } from '../ledger/rejudge.js';
import { forgetRefusals } from '../ledger/rejected.js';
import { settle } from '../ledger/settle.js';
import { warm } from '../ledger/site-view.js';
import { Upkeep } from './upkeep.js';
import type { Finding } from '../engine/finding.js';

const hour = 3_600_000;

/** Work on an organisation that knows itself when it is due. */
export interface Nightly {
  whenDue(organisation: string): Promise<void>;
}

/**
 * Lets time pass: opens what fell due with no event to show it, dated at its due instant; judges sites anew that other
 * packs judged, or that could not be judged. Several processes may sweep one database: a due site is locked by the one
 * that takes it and passed over by the rest.
 */
export class Sweeper {
  readonly #ledger: Ledger;
  readonly #every: number;
  readonly #patience: number;
  #timer: NodeJS.Timeout | undefined;
  #running: Promise<number> | undefined;
  #stopped = false;
  readonly #upkeep: Upkeep;
  readonly #nightly: readonly Nightly[];
  #forgotten = -Infinity;
  /** When a site that the fold fails on is tried again, ms. */
  readonly #retryAt = new Map<string, number>();

  /**
   * @param options.every ms between sweeps; @param options.patience ms before a failing site is tried again;
   * @param options.nightly what else is done for each organisation, when it is due
   */
  constructor(
    ledger: Ledger,
    options: { readonly every?: number; readonly patience?: number; readonly nightly?: readonly Nightly[] } = {},
  ) {
    this.#ledger = ledger;
    this.#upkeep = new Upkeep(ledger);
    this.#nightly = options.nightly ?? [];
    this.#every = options.every ?? 15_000;
    this.#patience = options.patience ?? 600_000;
  }

  /** Sweeps at once, and then again and again. */
  start(): void {
    if (this.#timer !== undefined || this.#stopped) return;
    const again = (): void => {
      void this.sweep()
        .catch((error: unknown) => this.#ledger.log.error({ err: error }, 'A sweep failed; the next one tries again.'))
        .finally(() => {
          if (!this.#stopped) this.#timer = setTimeout(again, this.#every).unref();
        });
    };
    this.#timer = setTimeout(again, 0);
  }

  /** Waits for the site at hand; no sweep begins after it. */
  async stop(): Promise<void> {
    this.#stopped = true;
    clearTimeout(this.#timer);
    await this.#running?.catch(() => undefined);
  }

  /** One pass over all organisations. @returns how many sites it wrote to. */
  sweep(): Promise<number> {
    this.#running ??= this.#pass().finally(() => (this.#running = undefined));
    return this.#running;
  }

  async #pass(): Promise<number> {
    const { database, now, log, counters } = this.#ledger;
    counters.sweeps += 1;
    await this.#upkeep.whenDue();
    const forget = now() - this.#forgotten >= hour;
    if (forget) this.#forgotten = now();
    let written = 0;
    for (const organisation of await database.organisations()) {
      if (this.#stopped) break;
      for (const one of this.#nightly) await one.whenDue(organisation);
      const sites = await database.withOrganisation(organisation, async (tx) => {
        if (forget) await forgetRefusals(tx, organisation, now());
        const judge = judgedBy(await judging(this.#ledger, tx, organisation));
        return tx.query<{ site: string; anew: boolean }>(dueSites, organisation, now(), judge);
      });
      for (const { site, anew } of sites) {
        if (this.#stopped) break;
        try {
          if (anew ? await this.#anew(organisation, site) : await this.#sweepSite(organisation, site)) written += 1;
        } catch (error) {
          log.error({ organisation, site, err: error }, 'A site could not be swept; the next sweep tries again.');
        }
      }
    }
    return written;
  }

  async #anew(organisation: string, site: string): Promise<boolean> {
    const key = `${organisation}\n${site}`;
    const { now } = this.#ledger;
    if ((this.#retryAt.get(key) ?? -Infinity) > now()) return false;
    const judged = (await rejudge(this.#ledger, organisation, site))?.judged === true;
    if (judged) this.#retryAt.delete(key);
    else this.#retryAt.set(key, now() + this.#patience);
    if (judged) await this.#sweepSite(organisation, site);
    return judged;
  }

  async #sweepSite(organisation: string, site: string): Promise<boolean> {
    const { database, fold, cache, now } = this.#ledger;
    await warm(this.#ledger, organisation, site);
    await cache.settled(organisation, site);
    const sweep = async (tx: Transaction): Promise<boolean> => {
      const head = (await fetchHeads(tx, organisation, [site], 'unlessBusy')).get(site);
      if (head === undefined) return false;
      const to = now();
      const own = await judgingLocked(this.#ledger, tx, organisation, [head]);
      if (head.packs_hash !== judgedBy(own) || head.unjudged !== null) return false;
      if (head.next_due === null || head.next_due > to) return false;
      if (head.next_due <= head.swept_to && head.swept_to > (head.last_at ?? -Infinity)) return false;
      // With the head locked nobody steps this state; it is copied at once all the same. Missing: at the next sweep.
      const entry = cache.peek(organisation, site);
      if (entry === undefined || entry.version !== head.version) return false;
      const said = new Map<string, Finding>();
      try {
        head.next_due = sweepOver(fold, own.book, entry, to, said);
      } catch (error) {
        head.unjudged = foldFailure(this.#ledger, organisation, site, error);
        await saveHeads(tx, organisation, [head], to);
        this.#retryAt.set(`${organisation}\n${site}`, to + this.#patience);
        return true;
      }
      head.swept_to = to;
      const folded = { said, complete: false, gone: [], nextDue: head.next_due };
      await settle(tx, own, organisation, [{ head, folded, cause: 'sweep' }], to);
      await saveHeads(tx, organisation, [head], to);
      return true;
    };
    return database.withOrganisation(organisation, sweep, { grows: true });
  }
}
