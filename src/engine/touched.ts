import type { Finding } from './finding.js';
import type { SiteState } from './state.js';

/**
 * The findings that a step touches. Each is stamped with the fold's instant at which it was touched last, so that a
 * replay from that instant on knows which stored findings it has to account for.
 */
export class Touched {
  readonly #state: SiteState;
  /** Most steps touch none. */
  #findings: Set<Finding> | undefined;

  constructor(state: SiteState) {
    this.#state = state;
  }

  add(finding: Finding): void {
    finding.touchedAt = this.#state.at;
    (this.#findings ??= new Set()).add(finding);
  }

  list(): Finding[] {
    return this.#findings === undefined ? [] : [...this.#findings];
  }
}
