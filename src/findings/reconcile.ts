import { canonicalJson } from '../canonical-json.js';
import type { Finding } from '../engine/finding.js';

/** A finding as it is stored: the fold's record, with the state `withdrawn` if a replay no longer supported it. */
export interface StoredFinding {
  readonly id: string;
  readonly site: string;
  readonly state: string;
  readonly revision: number;
  readonly detail: Finding;
}

export type ChangeKind = 'opened' | 'changed' | 'closed' | 'withdrawn' | 'reinstated';

/** One difference between what is stored and what the fold says, ready to be written. */
export interface Change {
  readonly kind: ChangeKind;
  readonly revision: number;
  /** A copy of its own: later steps do not change it. */
  readonly finding: Finding;
  /** Fold instant at which it was touched last, ms. */
  readonly touched: number;
}

const closedStates: readonly string[] = ['cleared', 'resolved', 'lapsed'];

/**
 * What must be written so that the stored findings of one site equal the fold. Identical ones are left alone.
 * @param said what the fold says, by id.
 * @param stored what is stored of these, by id; for a complete answer, everything stored of the site.
 * @param complete whether what is stored and not said is no longer supported.
 * @param gone ids that are no longer supported, when `said` is not complete.
 * @returns changes in order of (opened, id).
 */
export function reconcile(
  said: ReadonlyMap<string, Finding>,
  stored: ReadonlyMap<string, StoredFinding>,
  complete: boolean,
  gone: readonly string[] = [],
): Change[] {
  const changes: Change[] = [];
  for (const finding of said.values()) {
    const before = stored.get(finding.id);
    const text = canonicalJson(finding);
    if (before === undefined) changes.push(change('opened', 1, text));
    else if (before.state === 'withdrawn') changes.push(change('reinstated', before.revision + 1, text));
    else if (canonicalJson(before.detail) !== text) {
      const closes = closedStates.includes(finding.state) && !closedStates.includes(before.state);
      changes.push(change(closes ? 'closed' : 'changed', before.revision + 1, text));
    }
  }
  const unsupported = complete ? [...stored.keys()].filter((id) => !said.has(id)) : gone;
  for (const id of unsupported) {
    const before = stored.get(id);
    if (before === undefined || before.state === 'withdrawn') continue;
    const text = canonicalJson({ ...before.detail, state: 'withdrawn' });
    changes.push(change('withdrawn', before.revision + 1, text));
  }
  return changes.sort(
    ({ finding: a }, { finding: b }) => a.openedAt - b.openedAt || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0),
  );
}

function change(kind: ChangeKind, revision: number, text: string): Change {
  const finding = JSON.parse(text) as Finding;
  return { kind, revision, finding, touched: finding.touchedAt };
}
