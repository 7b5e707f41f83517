import type { AnyEvent } from '../../events/event.js';
import { type Edition, PackBook } from '../../packs/book.js';
import { type Crowd, type SiteEnd, SiteTrial } from './site.js';
import { type Affected, affectedBy, sliceOf } from './slice.js';
import { Tally, type WhatIf } from './tally.js';

export { attentionFor, mostCardsAWeek, type Attention } from './attention.js';
export { differences, type Difference } from './differences.js';
export type { Gap } from './gaps.js';
export type { Crowd } from './site.js';
export { mostListed, mostSites, type Changed, type Listed, type Unprovable, type WhatIf } from './tally.js';
export { tried } from './tried.js';

/** How a site's trial begins. */
export interface Beginning {
  /** A state of the present packs, folded up to before the others begin, as JSON. */
  readonly start?: string | undefined;
  /** What the rules that are not folded have found here; absent: not known, and every rule is folded. */
  readonly crowd?: Crowd | undefined;
}

/**
 * What would have been found with other packs: the fold of live intake over recorded events, once with the packs as they
 * are and once with the others, nothing written. Pure; who has the events feeds them, one site after another.
 */
export class Trial {
  readonly affected: Affected;
  readonly #whole: { readonly before: PackBook; readonly after: PackBook };
  readonly #slice: { readonly before: PackBook; readonly after: PackBook };
  readonly #tally = new Tally();

  /**
   * @param until how far the folds go, ms.
   * @param since from when on the packs on trial stand, ms; absent: from ever on.
   */
  constructor(
    before: readonly Edition[],
    after: readonly Edition[],
    until: number,
    private readonly since?: number,
  ) {
    this.affected = affectedBy(before, after, until);
    const { folded, whole } = this.affected;
    this.#whole = { before: new PackBook(before), after: new PackBook(after) };
    this.#slice = whole ? this.#whole : { before: sliceOf(before, folded), after: sliceOf(after, folded) };
  }

  /** The packs as they are. */
  get present(): PackBook {
    return this.#whole.before;
  }

  /**
   * Both folds of one site; one site at a time. When it is crowded, drop it and begin again with `every` rule: those
   * that differ could not be folded alone.
   */
  site({ start, crowd }: Beginning, every = false): OneSite {
    const isSlice = !every && !this.affected.whole && crowd !== undefined;
    const drop = this.#tally.mark();
    const trial = new SiteTrial({
      ...(isSlice ? this.#slice : this.#whole),
      affected: this.affected.rules,
      since: this.since,
      ...(isSlice ? { slice: this.affected.folded, crowd } : {}),
      ...(start === undefined ? {} : { start }),
      told: this.#tally.told,
    });
    return {
      step: (event) => trial.step(event),
      settle: () => trial.settle(),
      isCrowded: () => trial.crowded,
      drop,
      end: (to) => {
        const end = trial.end(to);
        this.#tally.end(end);
        return end;
      },
    };
  }

  /** A site could not be folded. */
  failed(site: string, reason: string): void {
    this.#tally.failed(site, reason);
  }

  answer(): WhatIf {
    return this.#tally.answer();
  }
}

export interface OneSite {
  /** Events in order of their keys, without those that were taken back. */
  step(event: AnyEvent): void;
  /** Once in a while, a page of events say, so that memory stays bounded. */
  settle(): void;
  isCrowded(): boolean;
  /** Leaves no trace of it in the answer. */
  drop(): void;
  /** Time passes to `to` (ms), and the site is done. */
  end(to: number): SiteEnd;
}
