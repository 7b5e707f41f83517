import type { EventRef, LedgerEvent } from '../events/event.js';
import type { Citation, Layer, Severity } from '../packs/model.js';

/**
 * The life of a finding. `withdrawn` is given by reconciliation alone: a replay no longer supports the finding; it may
 * come back. The fold itself only says open, acknowledged, cleared, resolved and lapsed.
 */
export const findingStates = ['open', 'acknowledged', 'cleared', 'resolved', 'lapsed', 'withdrawn'] as const;
export type FindingState = (typeof findingStates)[number];

/** One rung of a limit's ladder, judged against one value. */
export interface Verdict {
  readonly limit: string;
  readonly pack: string;
  /** Of that pack, as it stood. */
  readonly version: string;
  readonly layer: Layer;
  readonly severity: Severity;
  readonly side: 'min' | 'max';
  /** The bound as resolved, in the canonical unit of `of`; for a due bound, the instant (ms). Absent: no answer. */
  readonly bound?: number;
  /** The bound as a person reads it: "4:00", "2 months, through Sun 8 Mar 2026". */
  readonly text: string;
  /** The chart that answered, when one did. */
  readonly chart?: string;
  readonly verdict: 'broken' | 'met' | 'unknown';
  readonly citation: Citation;
}

/** A finding as the fold holds it: plain, serialisable, bounded. Instants in ms. */
export interface Finding {
  /** Derived from rule, topic and anchor: the same in every process and every replay. */
  readonly id: string;
  readonly rule: string;
  readonly pack: string;
  packVersion: string;
  readonly kind: 'check' | 'duty';
  readonly title: string;
  /** `kind:id`, for example `line:M1`, `run:pms/e-17`, `fill:M1/developer/pms/e-3`. */
  readonly topic: string;
  readonly line?: string;
  readonly tube?: string;
  severity: Severity;
  state: FindingState;
  readonly openedAt: number;
  /** The fold's instant at which it was last touched, by an event or by time. */
  touchedAt: number;
  /** The instant that absence is dated at, for a duty. */
  readonly dueAt?: number;
  /** Absence is announced only from here on; absent: at once. */
  announceAt?: number;
  closedAt?: number;
  closedBy?: EventRef | { readonly reason: string };
  /** For what never clears: when the same rule was next met on the same line; the board then lets the card go. */
  easedAt?: number;
  message: string;
  /** What it said of all baths, while `message` speaks of those that are left. */
  entire?: string;
  advise?: string;
  retest?: string;
  caution?: string;
  /** Facts as read at the latest firing, by name, in canonical units. */
  facts: Record<string, unknown>;
  /** The condition's limits as resolved at the latest firing, every layer. */
  chain: Verdict[];
  /** For what is worded anew as evidence comes: the review that it was first told by. */
  readonly asked?: LedgerEvent<'film.reviewed'>['data'] & {
    readonly source: string;
    readonly id: string;
    readonly at: number;
  };
  /** Exposures that were made again for its films. */
  repeats?: number;
  readonly anchor: EventRef | null;
  evidence: EventRef[];
  /** How often it fired; films it speaks of (or that were developed while it stood open). */
  occurrences: number;
  films: number;
  /** What was said at each change of the message, oldest first, at most 20. */
  said: { at: number; message: string }[];
  hold?: 'line' | 'tube';
  /** An instrument that it rests on failed its next check, at this instant (ms). */
  doubt?: { readonly instrument: string; readonly at: number };
  snoozedUntil?: number;
  snoozeReason?: string;
  snoozedBy?: string;
  acknowledgedBy?: string;
  acknowledgeReason?: string;
  rootCause?: string;
  /** Who gave the root cause: with a resolution, or by confirming it. */
  rootCauseBy?: string;
  action?: string;
  /** The cause that it counts for among those confirmed, and since when. */
  taught?: { readonly cause: string; readonly at: number };
  citation: Citation;
}
