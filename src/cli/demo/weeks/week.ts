import type { Office } from '../offices.js';
import type { SentEvent } from '../teller.js';

/** One told week: what happened, and which days of which lines it accounts for entirely. */
export interface ToldWeek {
  readonly id: string;
  readonly title: string;
  readonly office: Office;
  /** Everything but the office's set-up, in the order told. */
  readonly events: readonly SentEvent[];
  /** Days on which the season adds nothing of its own: local dates, both inclusive; a line, or the whole office. */
  readonly owns: readonly { readonly from: string; readonly to: string; readonly line?: string }[];
  /** Local dates on which the week changes a line's chemistry; the season plans its own changes around them. */
  readonly changes: readonly { readonly line: string; readonly date: string }[];
}
