import type { Finding } from '../../engine/finding.js';

/** In what a finding differs, as people ask about it. */
export const differences = [
  'severity',
  'opened',
  'closed',
  'numbers',
  'limit',
  'words',
  'hold',
  'evidence',
  'people',
] as const;
export type Difference = (typeof differences)[number];

const fields: Readonly<Record<Difference, readonly (keyof Finding)[]>> = {
  severity: ['severity'],
  opened: ['openedAt', 'dueAt', 'announceAt'],
  closed: ['state', 'closedAt', 'closedBy', 'easedAt'],
  numbers: ['facts', 'occurrences', 'films'],
  limit: ['chain', 'citation'],
  words: ['title', 'message', 'entire', 'said', 'advise', 'retest', 'caution'],
  hold: ['hold'],
  evidence: ['evidence', 'anchor', 'doubt'],
  people: [
    'snoozedUntil',
    'snoozeReason',
    'snoozedBy',
    'acknowledgedBy',
    'acknowledgeReason',
    'rootCause',
    'rootCauseBy',
    'action',
  ],
};

/**
 * What a finding is compared by. Left out are the version of the pack, which differs wherever the text does, when the fold
 * touched it last, which no reader is shown, and what one id has in common.
 */
export const compared: ReadonlySet<keyof Finding> = new Set(Object.values(fields).flat());

/** In what one finding differs from itself under other packs; empty: in nothing. */
export function between(before: Finding, after: Finding): Difference[] {
  return differences.filter((name) => fields[name].some((field) => !isSame(before[field], after[field])));
}

function isSame(a: unknown, b: unknown): boolean {
  return a === b || (typeof a === 'object' && typeof b === 'object' && JSON.stringify(a) === JSON.stringify(b));
}
