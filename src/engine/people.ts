import type { AnyEvent } from '../events/event.js';
import { isLocalDate } from '../events/instant.js';
import { startOfDate } from './calendar.js';
import type { Finding } from './finding.js';
import { closeFinding, addEvidence } from './findings.js';
import { refOf } from './refs.js';
import type { SiteState } from './state.js';
import type { Touched } from './touched.js';

/** Where people's work is addressed to: a finding's id, or the rule, topic and an instant the finding covers. */
interface Address {
  readonly finding?: string;
  readonly rule?: string;
  readonly topic?: string;
  readonly instant?: string;
}

/** Acknowledgement, snooze, resolution and confirmed cause attach to the finding they cover, or are counted as orphans. */
export function applyPeople(state: SiteState, event: AnyEvent, touched: Touched): void {
  if (!isPeoples(event)) return;
  const finding = find(state, event.data, event.at);
  if (finding === undefined) {
    state.dropped['orphaned'] = (state.dropped['orphaned'] ?? 0) + 1;
    return;
  }
  touched.add(finding);
  switch (event.type) {
    case 'finding.acknowledged':
      if (finding.state === 'open') finding.state = 'acknowledged';
      finding.acknowledgedBy = event.data.by;
      break;
    case 'finding.snoozed':
      finding.snoozedUntil = snoozeEnd(event.data.until, state.site?.zone ?? 'UTC');
      finding.snoozeReason = event.data.reason;
      finding.snoozedBy = event.data.by;
      break;
    case 'cause.confirmed':
      finding.rootCause = event.data.rootCause;
      finding.rootCauseBy = event.data.by;
      addEvidence(finding, refOf(event));
      break;
    case 'finding.resolved':
      finding.rootCause = event.data.rootCause;
      finding.rootCauseBy = event.data.by;
      finding.action = event.data.action;
      // Only a passed re-test ends a hold; what the person found and did is kept with it all the same.
      if (finding.hold === undefined && isOpen(finding))
        closeFinding(state, finding, 'resolved', event.at, refOf(event));
      break;
  }
}

/** Through a date, by the site's clock, or until an instant. */
function snoozeEnd(until: string, zone: string): number {
  return isLocalDate(until) ? startOfDate(until, zone, 1) : Date.parse(until);
}

type Peoples = Extract<
  AnyEvent,
  { type: 'finding.acknowledged' | 'finding.snoozed' | 'finding.resolved' | 'cause.confirmed' }
>;

function isPeoples(event: AnyEvent): event is Peoples {
  return event.type.startsWith('finding.') || event.type === 'cause.confirmed';
}

export function isOpen(finding: Finding): boolean {
  return finding.state === 'open' || finding.state === 'acknowledged';
}

function find(state: SiteState, { finding: id, rule, topic, instant }: Address, now: number): Finding | undefined {
  const all = () => [...Object.values(state.findings), ...[...state.closed].reverse()];
  if (id !== undefined) {
    const exact =
      (Object.hasOwn(state.findings, id) ? state.findings[id] : undefined) ??
      state.closed.find((finding) => finding.id === id);
    if (exact !== undefined) return exact;
  }
  if (rule === undefined || topic === undefined) return undefined;
  const at = instant === undefined ? now : Date.parse(instant);
  return all().find(
    (finding) =>
      finding.rule === rule &&
      finding.topic === topic &&
      finding.openedAt <= at &&
      at <= (finding.closedAt ?? Infinity),
  );
}
