import type { Office } from '../offices.js';
import type { SentEvent } from '../teller.js';

/** One told week: what happened, and which days of which lines it accounts for entirely. */
export interface ToldWeek {
  readonly id: string;
  readonly title: string;
  readonly office: Office;
  /** Everything but the office's set-up, in the order told. */
  readonly events: readonly SentEvent[];
  /**
   * Days on which the season develops, reads and changes nothing of its own: local dates, both inclusive; a line, or
   * the whole office. On closed days nothing is done at all.
   */
  readonly owns: readonly {
    readonly from: string;
    readonly to: string;
    readonly line?: string;
    readonly closed?: true;
  }[];
  /** Local dates on which the week changes a line's chemistry; the season plans its own changes around them. */
  readonly changes: readonly { readonly line: string; readonly date: string }[];
}
