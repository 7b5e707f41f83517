import { createHash } from 'node:crypto';
import type { EventRef } from '../events/event.js';
import type { Said } from '../packs/book.js';
import type { Rule, Severity } from '../packs/model.js';
import { severities } from '../packs/model.js';
import { readFact } from './facts/index.js';
import type { Finding, Verdict } from './finding.js';
import { forget, keepOpen } from './open-findings.js';
import { namedBound, standingBound } from './ladder.js';
import type { Moment } from './moment.js';
import { pushCapped } from './ring.js';
import { caps, type SiteState } from './state.js';
import { fill, sayDay, sayDistance, sayFact } from './words.js';

/** Derived from site, rule, topic and anchor alone: every process and every replay gives a finding the same id. */
export function findingId(site: string, rule: string, topic: string, anchor: string): string {
  return createHash('sha256').update(`${site}\n${rule}\n${topic}\n${anchor}`).digest('base64url').slice(0, 22);
}

export function isHigher(a: Severity, b: Severity): boolean {
  return severities.indexOf(a) > severities.indexOf(b);
}

/** The highest severity among the broken rungs; undefined when none is broken. */
export function highestBroken(chain: readonly Verdict[]): Verdict | undefined {
  return chain
    .filter(({ verdict }) => verdict === 'broken')
    .reduce<Verdict | undefined>(
      (top, rung) => (top === undefined || isHigher(rung.severity, top.severity) ? rung : top),
      undefined,
    );
}

/** What a firing says, before it becomes a finding or joins one. */
export interface Firing {
  readonly rule: Said<Rule>;
  readonly moment: Moment;
  readonly chain: Verdict[];
  readonly facts: Record<string, unknown>;
  readonly message: string;
  readonly severity: Severity;
}

/**
 * Words of the rule for this moment, with its severity: that of the highest broken limit, else the rule's own; a duty
 * whose limits have no answer (nothing on record yet) is a warning.
 */
export function firing(
  rule: Said<Rule>,
  moment: Moment,
  chain: Verdict[],
  facts: Record<string, unknown>,
  message: string,
): Firing {
  return {
    rule,
    moment,
    chain,
    facts,
    message,
    severity: highestBroken(chain)?.severity ?? rule.severity ?? 'warning',
  };
}

/** Fill a template from the moment: facts, the broken bounds of limits, the line, the day, counts. */
export function say(
  template: string,
  moment: Moment,
  chain: readonly Verdict[],
  also: Record<string, string | undefined>,
): string {
  const zone = moment.site.zone;
  return fill(template, (name) => {
    if (name in also) return also[name];
    if (name === 'line') return moment.line?.id;
    if (name === 'tube') return moment.tube?.id;
    if (name === 'bath') return moment.bath?.name;
    if (name === 'day') return sayDay(moment.at, zone);
    const [head, ...rest] = name.split('.');
    const limit = rest.join('.');
    if (head === 'limit' || head === 'short' || head === 'over' || head === 'who') {
      const verdict = namedBound(chain, limit) ?? standingBound(moment, limit);
      if (verdict === undefined) return undefined;
      if (head === 'limit') return verdict.text;
      if (head === 'who') return verdict.citation.text;
      const of = moment.rules.limits.get(limit)?.[0]?.of;
      const value = of === undefined ? undefined : readFact(moment, of);
      if (of === undefined || typeof value !== 'number' || verdict.bound === undefined) return undefined;
      return sayDistance(of, Math.abs(value - verdict.bound));
    }
    return sayFact(name, readFact(moment, name), zone);
  });
}

interface Opening {
  readonly topic: string;
  readonly anchor: EventRef | null;
  readonly anchorKey: string;
  readonly openedAt: number;
  readonly evidence: readonly EventRef[];
  readonly films: number;
  readonly also?: Partial<Finding>;
}

export function openFinding(state: SiteState, spoken: Firing, opening: Opening): Finding {
  const { rule, moment } = spoken;
  const finding: Finding = {
    id: findingId(state.id, rule.id, opening.topic, opening.anchorKey),
    rule: rule.id,
    pack: rule.pack.id,
    packVersion: rule.pack.version,
    kind: rule.kind,
    title: say(rule.title, moment, spoken.chain, {}),
    topic: opening.topic,
    line: moment.line?.id,
    tube: moment.tube?.id,
    severity: spoken.severity,
    state: 'open',
    openedAt: opening.openedAt,
    touchedAt: opening.openedAt,
    message: spoken.message,
    advise: rule.advise,
    retest: rule.retest,
    caution: rule.caution,
    facts: spoken.facts,
    chain: spoken.chain,
    anchor: opening.anchor,
    evidence: [...opening.evidence],
    occurrences: 1,
    films: opening.films,
    said: [{ at: opening.openedAt, message: spoken.message }],
    hold: rule.kind === 'check' ? rule.hold : undefined,
    citation: highestBroken(spoken.chain)?.citation ?? rule.citation,
    ...opening.also,
  };
  keepOpen(state, finding);
  return finding;
}

/** The rule fired again in the same spell: severity may only rise, a changed message is a new line of its story. */
export function fireAgain(finding: Finding, spoken: Firing, ref: EventRef | undefined): void {
  finding.occurrences += 1;
  if (isHigher(spoken.severity, finding.severity)) {
    finding.severity = spoken.severity;
    finding.citation = highestBroken(spoken.chain)?.citation ?? finding.citation;
  }
  finding.facts = spoken.facts;
  finding.chain = spoken.chain;
  delete finding.doubt;
  finding.packVersion = spoken.rule.pack.version;
  if (ref !== undefined) addEvidence(finding, ref);
  saySo(finding, spoken.moment.at, spoken.message);
}

/**
 * Another run of the same day joins a finding. Its headline, numbers and citation are those of the run that is farthest
 * out, the first of equals; every other wording is a line of its story, and a rung that any run broke stands as broken.
 */
export function joinFiring(finding: Finding, spoken: Firing): void {
  const headline = isFarther(spoken, finding);
  const [own, other] = headline ? [spoken.chain, finding.chain] : [finding.chain, spoken.chain];
  finding.chain = own.map((rung) => {
    const again = rung.verdict === 'broken' ? undefined : other.find((one) => isSameRung(one, rung));
    return again?.verdict === 'broken' ? again : rung;
  });
  if (headline) {
    finding.facts = spoken.facts;
    finding.citation = highestBroken(spoken.chain)?.citation ?? finding.citation;
    saySo(finding, spoken.moment.at, spoken.message);
    return;
  }
  if (finding.said.some(({ message }) => message === spoken.message)) return;
  finding.said.push({ at: spoken.moment.at, message: spoken.message });
  if (finding.said.length > caps.said) finding.said.splice(1, 1);
}

function isSameRung(a: Verdict, b: Verdict): boolean {
  return a.limit === b.limit && a.pack === b.pack && a.side === b.side;
}

/** Whether a firing lies farther beyond the limit that carries it than the finding's headline does. */
function isFarther({ chain, facts, moment }: Firing, finding: Finding): boolean {
  const limit = highestBroken(chain)?.limit;
  if (limit === undefined || highestBroken(finding.chain)?.limit !== limit) return false;
  const of = moment.rules.limits.get(limit)?.[0]?.of ?? '';
  const beyond = (rungs: readonly Verdict[], value: unknown) => {
    const bound = highestBroken(rungs)?.bound;
    return typeof value === 'number' && bound !== undefined ? Math.abs(value - bound) : 0;
  };
  return beyond(chain, facts[of]) > beyond(finding.chain, finding.facts[of]) + 1e-9;
}

/** What is known has grown: headline and numbers are those of now. Within one minute only the last word is kept. */
export function sayAnew(finding: Finding, { facts, chain, message, moment }: Firing): void {
  finding.facts = facts;
  finding.chain = chain;
  const { at } = moment;
  const last = finding.said.at(-1);
  if (last !== undefined && message !== finding.message && at - last.at < 60_000) {
    finding.message = last.message = message;
    return;
  }
  saySo(finding, at, message);
}

export function saySo(finding: Finding, at: number, message: string): void {
  if (message === finding.message) return;
  finding.message = message;
  finding.said.push({ at, message });
  if (finding.said.length > caps.said) finding.said.splice(1, 1);
}

/** Evidence keeps its first event and the latest ones. */
export function addEvidence(finding: Finding, ref: EventRef): void {
  if (finding.evidence.some(({ source, id }) => source === ref.source && id === ref.id)) return;
  finding.evidence.push(ref);
  if (finding.evidence.length > caps.evidence) finding.evidence.splice(1, 1);
}

export function closeFinding(
  state: SiteState,
  finding: Finding,
  how: 'cleared' | 'resolved' | 'lapsed',
  at: number,
  by: EventRef | { reason: string },
): void {
  finding.state = how;
  finding.closedAt = at;
  finding.closedBy = by;
  forget(state, finding);
  pushCapped(state, 'closed', state.closed, finding, caps.closed);
}
