import { cardOf, takesSpace } from '../../engine/board.js';
import type { Finding } from '../../engine/finding.js';
import type { SiteState } from '../../engine/state.js';
import type { PackBook } from '../../packs/book.js';

/**
 * New cards on a site's board as time goes by: a finding that takes space on it (above advice, announced, not snoozed)
 * where no other of its cause, line and unit does yet. A hold is counted apart: the budget of attention leaves it out.
 */
export class Cards {
  count = 0;
  holds = 0;
  readonly #seen = new WeakSet<Finding>();
  #waiting: Finding[] = [];

  constructor(
    readonly state: SiteState,
    readonly book: PackBook,
    /** The rules whose cards are counted; those of others only take their space. */
    readonly counted: ReadonlySet<string>,
    /** Cards before this instant (ms) are of no change; absent: all count. */
    readonly since = -Infinity,
  ) {
    // What lies on the board when the trial begins is no new card.
    for (const finding of Object.values(state.findings)) {
      if (takesSpace(finding, state.at)) this.#seen.add(finding);
      else if ((finding.announceAt ?? 0) > state.at) this.#waiting.push(finding);
    }
  }

  /** Before time goes on to `at` (ms): what was to be announced by then, and is not over. */
  upTo(at: number): void {
    if (this.#waiting.length === 0) return;
    const due = this.#waiting.filter(({ announceAt = 0 }) => announceAt <= at);
    if (due.length === 0) return;
    this.#waiting = this.#waiting.filter((finding) => !due.includes(finding));
    for (const finding of due) if (finding.closedAt === undefined) this.#look(finding, finding.announceAt ?? at);
  }

  /** What a step of the fold touched. */
  touched(findings: readonly Finding[]): void {
    for (const finding of findings) this.#look(finding, this.state.at);
  }

  #look(finding: Finding, at: number): void {
    if (this.#seen.has(finding) || finding.closedAt !== undefined || finding.easedAt !== undefined) return;
    if (!takesSpace(finding, at)) {
      if (finding.announceAt !== undefined && finding.announceAt > at && !this.#waiting.includes(finding))
        this.#waiting.push(finding);
      return;
    }
    this.#seen.add(finding);
    const key = cardOf(finding, this.book);
    for (const id in this.state.findings) {
      const other = this.state.findings[id];
      if (other === undefined || other === finding || other.easedAt !== undefined) continue;
      if (this.#seen.has(other) && takesSpace(other, at) && cardOf(other, this.book) === key) return;
    }
    if (!this.counted.has(finding.rule) || at < this.since) return;
    if (finding.hold === undefined) this.count += 1;
    else this.holds += 1;
  }
}
