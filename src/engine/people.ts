import type { AnyEvent } from '../events/event.js';
import { isLocalDate } from '../events/instant.js';
import type { RuleSet } from '../packs/book.js';
import { startOfDate } from './calendar.js';
import type { Finding } from './finding.js';
import { closeFinding, addEvidence } from './findings.js';
import { learn } from './learning.js';
import { isPast } from './open-findings.js';
import { refKey, refOf } from './refs.js';
import { pushCapped } from './ring.js';
import { caps, type SiteState } from './state.js';
import type { Touched } from './touched.js';

/** Where people's work is addressed to: a finding's id, or the rule, topic and an instant the finding covers. */
interface Address {
  readonly finding?: string;
  readonly rule?: string;
  readonly topic?: string;
  readonly instant?: string;
}

/** Acknowledgement, snooze, resolution and confirmed cause attach to the finding they cover, or are kept as orphans. */
export function applyPeople(state: SiteState, rules: RuleSet, event: AnyEvent, touched: Touched): void {
  if (!isPeoples(event)) return;
  const finding = find(state, event.data, event.at);
  if (finding === undefined) {
    const { finding: named, rule, topic, instant } = event.data;
    const at = instant === undefined ? undefined : Date.parse(instant);
    const orphan = { ref: refOf(event), finding: named, rule, topic, instant: at };
    pushCapped(state, 'orphans', (state.orphans ??= []), orphan, caps.orphans);
    return;
  }
  touched.add(finding);
  switch (event.type) {
    case 'finding.acknowledged':
      if (finding.state === 'open') finding.state = 'acknowledged';
      finding.acknowledgedBy = event.data.by;
      finding.acknowledgeReason = event.data.reason;
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
      learn(state, rules, finding, event.at);
      break;
    case 'finding.resolved':
      finding.rootCause = event.data.rootCause;
      finding.rootCauseBy = event.data.by;
      finding.action = event.data.action;
      learn(state, rules, finding, event.at);
      // Only a passed re-test ends a hold; what the person found and did is kept with it all the same.
      if ((finding.hold === undefined || isPast(state, finding)) && isOpen(finding))
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
  return isOfPeople(event.type);
}

function isOfPeople(type: string): boolean {
  return type.startsWith('finding.') || type === 'cause.confirmed';
}

export function isOpen(finding: Finding): boolean {
  return finding.state === 'open' || finding.state === 'acknowledged';
}

/**
 * By id; else by rule, topic and instant. A late, corrected or retracted event may give the same thing another id: then
 * it is the finding that keeps the named event as evidence, or the only one of its kind that covers the instant. Two
 * that could be meant are none.
 */
function find(state: SiteState, { finding: id, rule, topic, instant }: Address, now: number): Finding | undefined {
  const all = [...Object.values(state.findings), ...[...state.closed].reverse()];
  const exact = id === undefined ? undefined : all.find((finding) => finding.id === id);
  if (exact !== undefined || rule === undefined || topic === undefined) return exact;
  const at = instant === undefined ? now : Date.parse(instant);
  const covering = all.filter(
    (finding) => finding.rule === rule && finding.openedAt <= at && at <= (finding.closedAt ?? Infinity),
  );
  const named = covering.find((finding) => finding.topic === topic) ?? covering.find((one) => keeps(one, topic));
  if (named !== undefined) return named;
  const kin = covering.filter((finding) => kind(finding.topic) === kind(topic) && at <= lastEvidence(finding));
  return kin.length === 1 ? kin[0] : undefined;
}

/** Whether the event that a topic names (`run:pms/e-17`) is among a finding's evidence. */
function keeps({ evidence }: Finding, topic: string): boolean {
  return evidence.some((ref) => byEvent.some((of) => topic === `${of}:${refKey(ref)}`));
}

/** Kinds of topics that are named by an event. */
const byEvent = ['run', 'event', 'film'];

/** What of a topic does not hang on the id of an event: of a run that it is one, of a fill its line and bath. */
function kind(topic: string): string {
  const [of = ''] = topic.split(':', 1);
  if (byEvent.includes(of)) return of;
  return of === 'fill' ? topic.split('/', 2).join('/') : topic;
}

/** Up to where it reaches: what joined it last, or, if it lasts until something ends it, for ever. */
function lastEvidence({ topic, evidence }: Finding): number {
  if (topic.startsWith('fill:')) return Infinity;
  return Math.max(...evidence.filter(({ type }) => !isOfPeople(type)).map(({ at }) => at));
}
