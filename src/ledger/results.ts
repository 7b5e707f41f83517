import type { AnyEvent } from '../events/event.js';

/** Something wrong with one event. `pointer` is a JSON pointer into the event. */
export interface EventFault {
  readonly pointer: string;
  readonly code: string;
  readonly message: string;
  readonly nearest?: string;
  readonly allowed?: readonly (string | number | boolean)[];
}

/** An event that passed the catalogue. */
export interface Incoming {
  readonly event: AnyEvent;
  /** Its data as it is kept. */
  readonly sent: unknown;
  /** Hash of its content: equal for a repetition. */
  readonly hash: string;
  /** The sites that an answer may name to whoever sent it; absent: all. */
  readonly sees?: readonly string[];
}

export interface EventResult {
  readonly source: string;
  readonly id: string;
  /** Accepted and duplicate mean committed. */
  readonly status: 'accepted' | 'duplicate' | 'rejected';
  /** The findings that speak of the event now. */
  readonly findings: readonly string[];
  readonly faults?: readonly EventFault[];
  /** A sentence, when it was taken but not to the effect that was probably meant. */
  readonly notice?: string;
  /** Its site could not be judged with it; it is kept and will be. */
  readonly judgement?: 'pending';
}

export interface Accepted {
  /** In the order in which the events were given. */
  readonly results: readonly EventResult[];
  /** Ids of findings that this commit changed at the sites of these events. */
  readonly findings: { readonly opened: string[]; readonly cleared: string[]; readonly withdrawn: string[] };
}
