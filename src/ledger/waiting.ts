/** As much waits already as may wait. Nothing of what was brought has been stored; it may be brought again later. */
export class OverloadError extends Error {
  override readonly name = 'OverloadError';
  /** Whose share is full: that of this organisation, or all of them together. */
  readonly whose: 'organisation' | 'process';
  /** Whole seconds after which there should be room. */
  readonly retryAfter: number;

  constructor(whose: OverloadError['whose'], retryAfter: number, message: string) {
    super(message);
    this.whose = whose;
    this.retryAfter = retryAfter;
  }
}

export interface WaitingCaps {
  /** Events of all organisations. */
  readonly all: number;
  /** Events of one organisation. */
  readonly ofOne: number;
}

export const defaultWaiting: WaitingCaps = { all: 20_000, ofOne: 10_000 };

/** How long the rate of commits is remembered, ms. */
const memory = 10_000;
const longestPause = 30;

/**
 * Counts the events that were brought and not yet answered, so that they are refused beyond a cap instead of filling
 * memory. What comes alone is always let in: a cap below one batch would shut that sender out for ever.
 */
export class Waiting {
  readonly #caps: WaitingCaps;
  readonly #now: () => number;
  readonly #ofOne = new Map<string, number>();
  #all = 0;
  /** Events a second that were answered of late. */
  #rate = 0;
  #last: number;

  constructor(caps: WaitingCaps = defaultWaiting, now: () => number = () => performance.now()) {
    this.#caps = caps;
    this.#now = now;
    this.#last = now();
  }

  get events(): number {
    return this.#all;
  }

  /** @returns to be called once, when they have been answered. @throws OverloadError */
  enter(organisation: string, events: number): () => void {
    const own = this.#ofOne.get(organisation) ?? 0;
    if (own > 0 && own + events > this.#caps.ofOne) {
      throw new OverloadError('organisation', this.#pause(own), `${own} events wait; the cap is ${this.#caps.ofOne}.`);
    }
    if (this.#all > 0 && this.#all + events > this.#caps.all) {
      const message = `${this.#all} events of all senders wait; the cap is ${this.#caps.all}.`;
      throw new OverloadError('process', this.#pause(this.#all), message);
    }
    this.#ofOne.set(organisation, own + events);
    this.#all += events;
    return () => this.#leave(organisation, events);
  }

  #leave(organisation: string, events: number): void {
    const own = (this.#ofOne.get(organisation) ?? 0) - events;
    if (own > 0) this.#ofOne.set(organisation, own);
    else this.#ofOne.delete(organisation);
    this.#all -= events;
    const now = this.#now();
    this.#rate = this.#rate * Math.exp((this.#last - now) / memory) + events / (memory / 1000);
    this.#last = now;
  }

  /** Until half of what waits should be done. */
  #pause(waiting: number): number {
    const rate = this.#rate * Math.exp((this.#last - this.#now()) / memory);
    return Math.min(longestPause, Math.max(1, Math.ceil(waiting / 2 / Math.max(rate, 1))));
  }
}
