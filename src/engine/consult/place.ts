import type { LedgerEvent } from '../../events/event.js';
import type { LineConfig, TubeConfig } from '../../events/site.js';
import type { PackBook } from '../../packs/book.js';
import { createState, step } from '../fold.js';
import type { SiteState } from '../state.js';

/** An office that nobody has set up: a question may come without one. */
export interface Assumed {
  readonly zone: string;
  readonly jurisdictions: readonly string[];
  readonly lines?: readonly LineConfig[];
  readonly tubes?: readonly TubeConfig[];
}

/** The state of such an office at an instant (ms), with nothing on record but how it is set up. */
export function assumedState(
  { zone, jurisdictions, lines = [], tubes = [] }: Assumed,
  at: number,
  book: PackBook,
): SiteState {
  const state = createState();
  const configured: LedgerEvent<'site.configured'> = {
    ...{ type: 'site.configured', source: 'question', id: 'question', site: 'question', at, rank: 0 },
    data: { name: 'question', zone, jurisdictions: [...jurisdictions], lines: [...lines], tubes: [...tubes] },
  };
  step(state, configured, book);
  return state;
}
