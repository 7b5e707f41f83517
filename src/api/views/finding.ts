import type { EventRef } from '../../events/event.js';
import { caution } from '../caution.js';
import type { ChangeRow, FindingRow, FindingWithHistory } from '../services.js';
import { rfc3339, rfc3339Maybe } from '../time.js';

/** Findings as the API shows them: instants as RFC 3339, the site and the revision beside the fold's record. */

function eventRef({ at, source, id, type }: EventRef) {
  return { at: rfc3339(at), source, id, type };
}

export function findingView({ site, revision, finding }: Pick<FindingRow, 'site' | 'revision' | 'finding'>) {
  const { id, rule, severity, state, message, title, closedBy } = finding;
  return {
    // What people look for first comes first.
    ...{ id, site, rule, severity, state, title, message },
    ...finding,
    revision,
    openedAt: rfc3339(finding.openedAt),
    touchedAt: rfc3339(finding.touchedAt),
    dueAt: rfc3339Maybe(finding.dueAt),
    announceAt: rfc3339Maybe(finding.announceAt),
    closedAt: rfc3339Maybe(finding.closedAt),
    closedBy: closedBy !== undefined && 'at' in closedBy ? eventRef(closedBy) : closedBy,
    easedAt: rfc3339Maybe(finding.easedAt),
    snoozedUntil: rfc3339Maybe(finding.snoozedUntil),
    anchor: finding.anchor === null ? null : eventRef(finding.anchor),
    evidence: finding.evidence.map(eventRef),
    said: finding.said.map(({ at, message }) => ({ at: rfc3339(at), message })),
  };
}

export function fullFindingView(row: FindingWithHistory) {
  const own = row.finding.caution;
  return {
    ...findingView(row),
    trace: row.trace ?? undefined,
    evaluatorsAgree: row.evaluatorsAgree ?? undefined,
    history: row.history.map(historyView),
    caution: own === undefined ? caution : `${own} ${caution}`,
  };
}

function historyView({ revision, change, cause, at, hash, finding: { severity, state, message } }: ChangeRow) {
  return { revision, change, cause, at: rfc3339(at), severity, state, message, hash };
}

export function changeView({ finding, at, ...row }: ChangeRow) {
  return { ...row, at: rfc3339(at), finding: findingView({ ...row, finding }) };
}
