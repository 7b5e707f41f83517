import type { EventRef } from '../../events/event.js';
import type { Finding } from '../../engine/finding.js';
import { cautionBeside } from '../caution.js';
import type { ChangeRow, FindingRow, FindingWithHistory } from '../services.js';
import { rfc3339, rfc3339Maybe } from '../time.js';

/** Findings as the API shows them: instants as RFC 3339, the site and the revision beside the fold's record. */

function eventRef({ at, source, id, type }: EventRef) {
  return { at: rfc3339(at), source, id, type };
}

export function findingView({ site, revision, finding: stored }: Pick<FindingRow, 'site' | 'revision' | 'finding'>) {
  // What it was asked by stands in its evidence; it is kept for the fold.
  const { asked: _asked, ...finding } = stored;
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
    taught: finding.taught && { ...finding.taught, at: rfc3339(finding.taught.at) },
    doubt: finding.doubt && { ...finding.doubt, at: rfc3339(finding.doubt.at) },
    snoozedUntil: rfc3339Maybe(finding.snoozedUntil),
    anchor: finding.anchor === null ? null : eventRef(finding.anchor),
    evidence: finding.evidence.map(eventRef),
    said: finding.said.map(({ at, message }) => ({ at: rfc3339(at), message })),
  };
}

export function fullFindingView(row: FindingWithHistory) {
  const { caution: own, ...rest } = findingView(row);
  return {
    caution: cautionBeside(own),
    ...rest,
    trace: row.trace ?? undefined,
    evaluatorsAgree: row.evaluatorsAgree ?? undefined,
    history: row.history.map((change, at) => historyView(change, row.history[at - 1]?.finding)),
  };
}

function historyView({ revision, change, cause, at, hash, finding }: ChangeRow, before: Finding | undefined) {
  const { severity, state, message } = finding;
  return { revision, change, cause, at: rfc3339(at), severity, state, message, did: did(finding, before), hash };
}

/** What people did between two revisions, read off what it left in the record. */
function did(now: Finding, before: Finding | undefined) {
  const changed = (...names: (keyof Finding)[]) => names.some((name) => now[name] !== before?.[name]);
  const { acknowledgedBy, acknowledgeReason, snoozedUntil, snoozeReason, snoozedBy, rootCause, rootCauseBy, action } =
    now;
  const acts = [
    (changed('acknowledgedBy', 'acknowledgeReason') || (now.state === 'acknowledged' && changed('state'))) && {
      what: 'acknowledged',
      by: acknowledgedBy,
      reason: acknowledgeReason,
    },
    changed('snoozedUntil', 'snoozeReason', 'snoozedBy') && {
      ...{ what: 'snoozed', by: snoozedBy },
      ...{ until: rfc3339Maybe(snoozedUntil), reason: snoozeReason },
    },
    changed('rootCause', 'rootCauseBy', 'action') && {
      what: action === undefined || !changed('action') ? 'causeConfirmed' : 'resolved',
      ...{ by: rootCauseBy, rootCause, action },
    },
  ].filter((act) => act !== false);
  return acts.length === 0 ? undefined : acts;
}

export function changeView({ finding, at, ...row }: ChangeRow) {
  return { ...row, at: rfc3339(at), finding: findingView({ ...row, finding }) };
}
