import { compileCondition, type CompiledCondition } from '../../packs/conditions/compile.js';
import type { Said } from '../../packs/book.js';
import type { Duty, Message } from '../../packs/model.js';
import { chemistryBaths } from '../../events/bath.js';
import type { EventRef } from '../../events/event.js';
import { readFact } from '../facts/index.js';
import type { Finding, Verdict } from '../finding.js';
import {
  closeFinding,
  firing,
  highestBroken,
  isHigher,
  openFinding,
  say,
  saySo,
  addEvidence,
  type Firing,
} from '../findings.js';
import type { Moment } from '../moment.js';
import { refKey } from '../refs.js';
import type { DutyState } from '../state.js';
import { sayDay } from '../words.js';
import type { Touched } from '../touched.js';
import { dutyKey, dutyMoment } from './instances.js';
import { chainAt, dueRungs } from './rungs.js';

/** How long absence is not announced, so that an office that sends nightly is not accused at noon. */
export const settleTime = 24 * 3_600_000;

const compiled = new WeakMap<Message, CompiledCondition>();

function holds(message: Message, moment: Moment): boolean {
  if (message.when === undefined) return true;
  let condition = compiled.get(message);
  if (condition === undefined) compiled.set(message, (condition = compileCondition(message.when)));
  return condition.evaluate((name) => readFact(moment, name)) === true;
}

/** The facts a duty's message rests on, kept with its finding. */
const keptFacts = [
  'chemistry.age',
  'chemistry.since',
  'developer.age',
  'fixer.age',
  'developer.films',
  'line.filmsToday',
  'duty.afterClosure',
  'duty.count',
];

function speak(
  duty: Said<Duty>,
  moment: Moment,
  chain: Verdict[],
  { due, baths }: { readonly due?: number; readonly baths: readonly DutyState[] },
): Firing {
  const count = String(moment.owing?.count ?? 1);
  // Of both together people say the chemistry.
  const bath = baths.length > 1 ? 'chemistry' : baths[0]?.bath;
  const also = { count, films: count, bath, due: due === undefined ? undefined : sayDay(due - 1, moment.site.zone) };
  const template = duty.messages.find((message) => holds(message, moment))?.say ?? duty.title;
  const facts = Object.fromEntries(
    keptFacts.map((name) => [name, readFact(moment, name)] as const).filter(([, value]) => value !== undefined),
  );
  return firing(duty, moment, chain, facts, say(template, moment, chain, also));
}

export interface Omission {
  readonly duty: Said<Duty>;
  readonly instance: DutyState;
  readonly moment: Moment;
  readonly chain: Verdict[];
  readonly due?: number;
  /** The event at which it was noticed; absent when only time passed. */
  readonly trigger?: EventRef;
  readonly films: number;
}

/** Open the finding of an omission, or let it join the one its duty already feeds. */
export function omit(omission: Omission, touched: Touched): void {
  const { duty, instance, moment, chain, due, trigger, films } = omission;
  const { state } = moment;
  const spoken = speak(duty, moment, chain, { due, baths: bathsOwed(omission) });
  const topic = topicOf(instance);
  const anchor = anchorOf(omission);
  const base = anchor === null ? `since ${instance.since}` : refKey(anchor);
  // The same omission found again after its finding was closed is a finding of its own, whichever bath is left of it.
  const known = group(omission).some(({ anchored }) => anchored === base);
  instance.anchored = base;
  // A person may have closed the finding that this duty fed; its sibling may have opened another since.
  const open = state.findings[instance.finding ?? ''] ?? state.findings[sibling(omission) ?? ''];
  if (open !== undefined) {
    instance.finding = open.id;
    if (trigger !== undefined || duty.cadence.kind === 'after') open.occurrences += 1;
    if (trigger !== undefined) addEvidence(open, trigger);
    rise(open, spoken);
    if (duty.cadence.kind === 'after') open.films = Math.max(open.films, films);
    touched.add(open);
    return;
  }
  const finding = openFinding(state, spoken, {
    topic,
    anchor,
    anchorKey: known ? `${base} again ${trigger === undefined ? moment.at : refKey(trigger)}` : base,
    openedAt: moment.at,
    evidence: [anchor, trigger].filter((ref) => ref !== null && ref !== undefined),
    films,
    also: {
      dueAt: due,
      announceAt: trigger === undefined && duty.counts === 'always' ? moment.at + settleTime : undefined,
    },
  });
  instance.finding = finding.id;
  touched.add(finding);
}

/** Severity only rises; the chain and the words follow. */
function rise(finding: Finding, spoken: Firing): void {
  if (isHigher(spoken.severity, finding.severity)) {
    finding.severity = spoken.severity;
    finding.citation = highestBroken(spoken.chain)?.citation ?? finding.citation;
    delete finding.entire;
  }
  finding.chain = spoken.chain;
  finding.facts = spoken.facts;
  saySo(finding, spoken.moment.at, spoken.message);
}

/**
 * The rules in force have changed under an open finding: what it says now, on whose word, higher or lower. Returns whether
 * anything of it changed.
 */
export function restate(
  finding: Finding,
  duty: Said<Duty>,
  {
    moment,
    chain,
    owing,
  }: { readonly moment: Moment; readonly chain: Verdict[]; readonly owing: readonly DutyState[] },
): boolean {
  if (JSON.stringify(finding.chain) === JSON.stringify(chain)) return false;
  const baths = inOrder(owing.filter(({ bath }) => bath !== undefined));
  const spoken = speak(duty, moment, chain, { due: finding.dueAt, baths });
  finding.severity = spoken.severity;
  finding.citation = highestBroken(chain)?.citation ?? duty.citation;
  finding.chain = chain;
  finding.packVersion = duty.pack.version;
  saySo(finding, moment.at, spoken.message);
  return true;
}

function topicOf(instance: DutyState): string {
  if (instance.line !== undefined) return `line:${instance.line}`;
  return instance.tube === undefined ? 'site' : `tube:${instance.tube}`;
}

/** Developer and fixer changed on one day fall due together and are one finding, anchored on the earlier change. */
function group({ duty, instance, moment }: Omission): DutyState[] {
  if (duty.per !== 'bath') return [instance];
  const day = (one: DutyState) => moment.state.lines[one.line ?? '']?.baths[one.bath ?? '']?.fill?.day;
  // By their keys: a site may have many duties, and each omission asks.
  return chemistryBaths
    .flatMap((bath) => moment.state.duties[dutyKey(duty.id, instance.line, bath)] ?? [])
    .filter((other) => day(other) === day(instance));
}

/** The baths that an omission speaks of: its own, and the other one if it has fallen due with it. */
function bathsOwed(omission: Omission): DutyState[] {
  const { duty, instance, moment } = omission;
  if (instance.bath === undefined) return [];
  const isDue = (other: DutyState) => {
    const [first] = dueRungs(dutyMoment(moment, other, undefined), duty, other);
    return first !== undefined && first.due <= moment.at;
  };
  return inOrder(group(omission).filter((other) => other === instance || isDue(other)));
}

/** Developer before fixer, whichever was set up first. */
function inOrder(baths: readonly DutyState[]): DutyState[] {
  return [...baths].sort((a, b) => ((a.bath ?? '') < (b.bath ?? '') ? -1 : 1));
}

function sibling(omission: Omission): string | undefined {
  return group(omission).find(({ finding }) => finding !== undefined && omission.moment.state.findings[finding])
    ?.finding;
}

function anchorOf(omission: Omission): EventRef | null {
  const { instance, duty } = omission;
  if (duty.cadence.kind === 'after') return instance.pending[0]?.ref ?? null;
  return group(omission)
    .map(({ done }) => done)
    .reduce((first, ref) => (first === null || (ref !== null && earlier(ref, first)) ? ref : first), instance.done);
}

function earlier(a: EventRef, b: EventRef): boolean {
  if (a.at !== b.at) return a.at < b.at;
  return refKey(a) < refKey(b);
}

/** The duty was done: its finding is cleared once nobody else feeds it; until then it speaks of those who still do. */
export function release(moment: Moment, instance: DutyState, by: EventRef, touched: Touched): void {
  const { state } = moment;
  const id = instance.finding;
  delete instance.finding;
  const finding = id === undefined ? undefined : state.findings[id];
  if (finding === undefined) return;
  const left = inOrder(Object.values(state.duties).filter((other) => other.finding === id));
  if (left.length > 0) {
    finding.entire ??= finding.message;
    speakOfThose(moment, finding, left);
  } else {
    addEvidence(finding, by);
    if (finding.entire !== undefined) saySo(finding, moment.at, finding.entire);
    closeFinding(state, finding, 'cleared', moment.at, by);
  }
  touched.add(finding);
}

function speakOfThose(moment: Moment, finding: Finding, left: readonly DutyState[]): void {
  const duty = moment.rules.duties.find(({ id }) => id === finding.rule);
  const [first] = left;
  if (duty === undefined || first === undefined) return;
  const own = dutyMoment(moment, first, { afterClosure: false, count: 1 });
  const chain = chainAt(dueRungs(own, duty, first), moment.at);
  rise(finding, speak(duty, own, chain, { due: finding.dueAt, baths: left }));
}
