import type { EventData, EventType } from './catalogue.js';

/**
 * One accepted event of a site, as the fold and the ledger see it.
 *
 * `data` has the catalogue's shape with every quantity reduced to a plain number in the canonical unit of its
 * dimension (see `units.ts`): temperatures in Cel, times in s, lengths in mm, and so on. `patient` is already a keyed
 * hash. The order key of an event is (`at`, `rank`, `source`, `id`); see `order.ts`.
 */
export interface LedgerEvent<T extends EventType = EventType> {
  /** When it happened: milliseconds since 1970-01-01T00:00:00Z, an integer. */
  readonly at: number;
  /** The catalogue's frozen rank of the type; breaks ties of `at`. */
  readonly rank: number;
  /** The CloudEvents `source`: who sent it. Printable ASCII. */
  readonly source: string;
  /** Unique within the source. Printable ASCII. */
  readonly id: string;
  readonly type: T;
  readonly site: string;
  readonly subject?: string;
  readonly data: EventData[T];
}

/** An event of any one type, discriminated by `type`. */
export type AnyEvent = { [T in EventType]: LedgerEvent<T> }[EventType];

/** What a finding keeps of an event that speaks for it. */
export interface EventRef {
  readonly at: number;
  readonly source: string;
  readonly id: string;
  readonly type: string;
}
