import { severities } from '../packs/model.js';
import type { Finding } from './finding.js';
import { caps, type SiteState } from './state.js';

/**
 * Open findings are bounded (law L6): the one that is missed least falls out of the state, never out of the record, and
 * is counted.
 */
export function keepOpen(state: SiteState, finding: Finding): void {
  const open = Object.values(state.findings);
  if (open.length >= caps.findings) {
    const least = leastMissed(state, open);
    if (least !== undefined) {
      forget(state, least);
      state.dropped['findings'] = (state.dropped['findings'] ?? 0) + 1;
    }
  }
  state.findings[finding.id] = finding;
}

/** Take a finding out of the open ones and out of every list that names it. */
export function forget(state: SiteState, finding: Finding): void {
  const { id, rule, topic, line, tube } = finding;
  delete state.findings[id];
  if (state.spells[`${rule}|${topic}`] === id) delete state.spells[`${rule}|${topic}`];
  const place = `${rule}|${line !== undefined ? `line:${line}` : tube !== undefined ? `tube:${tube}` : 'site'}`;
  const left = state.uneased[place]?.filter((other) => other !== id);
  if (left === undefined) return;
  if (left.length > 0) state.uneased[place] = left;
  else delete state.uneased[place];
}

/**
 * What left the board goes before what is on it, then the lowest severity, then the oldest; what a duty or a lasting
 * spell still has to end goes last. A hold that a re-test can end never goes: there are no more of them than rules and
 * lines, and with one of them forgotten a line would look fit for patients' films.
 */
function leastMissed(state: SiteState, open: readonly Finding[]): Finding | undefined {
  const spells = new Set(Object.values(state.spells));
  const needed = new Set([...spells, ...Object.values(state.duties).flatMap(({ finding }) => finding ?? [])]);
  const worth = (finding: Finding) => [
    finding.hold === undefined ? 0 : 1,
    needed.has(finding.id) ? 1 : 0,
    finding.easedAt === undefined ? 1 : 0,
    severities.indexOf(finding.severity),
    finding.openedAt,
  ];
  return open
    .filter(({ id, hold }) => hold === undefined || !spells.has(id))
    .map((finding) => ({ finding, worth: worth(finding) }))
    .reduce<{ finding: Finding; worth: number[] } | undefined>(
      (least, one) => (least === undefined || isLess(one, least) ? one : least),
      undefined,
    )?.finding;
}

function isLess(a: { finding: Finding; worth: number[] }, b: { finding: Finding; worth: number[] }): boolean {
  for (const [index, value] of a.worth.entries()) {
    const other = b.worth[index] ?? 0;
    if (value !== other) return value < other;
  }
  return a.finding.id < b.finding.id;
}

/** Whether the line or unit it is about has ended: a hold of it stays on record, and only a person ends it. */
export function isPast({ lines, tubes }: SiteState, { line, tube }: Finding): boolean {
  return (lines[line ?? ''] ?? tubes[tube ?? ''])?.config.ended === true;
}
