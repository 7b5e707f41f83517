import type { Finding } from '../../src/engine/finding.js';
import type { AnyEvent } from '../../src/events/event.js';
import { type Edition, PackBook } from '../../src/packs/book.js';
import { foldSite } from '../../src/trials/fold-site.js';
import type { WhatIf } from '../../src/trials/what-if/index.js';

/** Ids of findings. */
export interface Ids {
  readonly added: readonly string[];
  readonly removed: readonly string[];
  readonly changed: readonly string[];
}

/** The difference of two whole folds, told apart from the code under test. */
export function difference(
  events: readonly AnyEvent[],
  before: readonly Edition[],
  after: readonly Edition[],
  until: number,
): Ids {
  const [ours, theirs] = [before, after].map(
    (editions) => foldSite(events, new PackBook(editions), until).findings,
  ) as [Map<string, Finding>, Map<string, Finding>];
  const shown = (finding: Finding | undefined) => {
    const { packVersion: _, touchedAt: __, ...rest } = finding ?? ({} as Finding);
    return JSON.stringify(rest);
  };
  return {
    added: [...theirs.keys()].filter((id) => !ours.has(id)).sort(),
    removed: [...ours.keys()].filter((id) => !theirs.has(id)).sort(),
    changed: [...ours.keys()].filter((id) => theirs.has(id) && shown(ours.get(id)) !== shown(theirs.get(id))).sort(),
  };
}

export const listed = ({ added, removed, changed }: WhatIf): Ids => ({
  added: added.map(({ finding }) => finding.id).sort(),
  removed: removed.map(({ finding }) => finding.id).sort(),
  changed: changed.map(({ after }) => after.id).sort(),
});
