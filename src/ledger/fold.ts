import type { AnyEvent } from '../events/event.js';
import type { Probe } from '../engine/checks.js';
import type { Finding } from '../engine/finding.js';
import { advance, cloneState, createState, nextDue, step } from '../engine/fold.js';
import type { SiteState } from '../engine/state.js';
import { engineVersion } from '../engine/version.js';
import type { PackBook } from '../packs/book.js';

/**
 * The fold as the ledger uses it: synchronous, without I/O, the same answer everywhere. `step` and `advance` change the
 * state they are given and return the findings they touched; those records belong to the state and change with it.
 */
export interface Fold {
  /** Of its code: states and findings of another one are not gone on from. */
  readonly version: number;
  createState(): SiteState;
  step(state: SiteState, event: AnyEvent, book: PackBook, probe?: Probe): Finding[];
  /** Opens what falls due up to and including `to` (ms). */
  advance(state: SiteState, to: number, book: PackBook): Finding[];
  cloneState(state: SiteState): SiteState;
  /** When time alone next changes something (ms), by these packs. */
  nextDue(state: SiteState, book: PackBook): number | null;
}

export const engineFold: Fold = { version: engineVersion, createState, step, advance, cloneState, nextDue };

/** The same fold, some of whose steps are watched. */
export function watched(fold: Fold, probe: () => Probe | undefined): Fold {
  return { ...fold, step: (state, event, book) => fold.step(state, event, book, probe()) };
}
