import { facts } from '../packs/facts.js';
import type { PackBook } from '../packs/book.js';
import { severities, type Severity } from '../packs/model.js';
import { suppliesOf } from '../packs/supply.js';
import { dueList, type DueItem } from './due.js';
import type { Finding } from './finding.js';
import { heardBy, isInForce, nameOf, sayNoAnswer, wantedFor } from './not-evaluable.js';
import type { Orphan, SiteState, Unevaluable } from './state.js';
import { isPast } from './open-findings.js';
import { listed } from '../events/faults.js';
import { sayDay } from './words.js';

export type LineCondition = 'clear' | 'check' | 'hold';

/** What the person at the darkroom door reads: at most three cards, and lists that do not interrupt. */
export interface Board {
  readonly at: number;
  readonly state: LineCondition;
  readonly lines: readonly Station[];
  readonly tubes: readonly Station[];
  readonly cards: readonly Card[];
  /** Cards that did not fit: "and 2 more". */
  readonly more: number;
  /** Of law or a standard, over since a later run in range, and nobody has said yet why: no card, and not gone. */
  readonly standing: readonly Standing[];
  readonly due: readonly DueItem[];
  readonly weekly: readonly WeeklyItem[];
  /** What people did that no finding covers any more, latest first: to be looked at once and done again, or let be. */
  readonly orphans: readonly Orphan[];
}
export interface Station {
  readonly id: string;
  readonly name?: string;
  readonly state: LineCondition;
  readonly outOfUse: boolean;
}
/** Four lines: the state, what it is with its numbers, what to do now, the next test. */
export interface Card {
  readonly state: LineCondition;
  readonly what: string;
  readonly doNow?: string;
  readonly nextTest?: string;
  readonly caution?: string;
  readonly line?: string;
  readonly tube?: string;
  readonly rule: string;
  readonly severity: Severity;
  readonly since: number;
  /** Findings of one cause share a card. */
  readonly findings: readonly string[];
  readonly count: number;
}
/** What a card was, once there is nothing to do at once any more. */
export type Standing = Omit<Card, 'state' | 'doNow' | 'nextTest' | 'caution'>;
export interface WeeklyItem {
  readonly kind: 'advice' | 'notEvaluable';
  /** The rules it speaks of; several where they lack the same fact. */
  readonly rules: readonly string[];
  readonly line?: string;
  readonly text: string;
  readonly since: number;
  readonly finding?: string;
  /** Of what could not be judged: the facts that are missing, and the types of events that would supply them. */
  readonly missing?: readonly string[];
  readonly send?: readonly string[];
}

const mostCards = 3;
const week = 7 * 86_400_000;

/** The board at `at`; a pure function of the state, which must stand there (see `advance`). It hides nothing from lists. */
export function board(state: SiteState, at: number, book: PackBook): Board {
  const open = Object.values(state.findings);
  const shown = open.filter((finding) => takesSpace(finding, at) && !isPast(state, finding));
  const cards = cardsOf(
    shown.filter(({ easedAt }) => easedAt === undefined),
    book,
  );
  const stations = (of: 'line' | 'tube'): Station[] =>
    Object.values(of === 'line' ? state.lines : state.tubes)
      .filter(({ config }) => config.ended !== true)
      .map(({ id, config, status }) => {
        const outOfUse = status?.status === 'outOfUse';
        const held = open.some((finding) => finding.hold === of && finding[of] === id);
        const checked = cards.some((card) => card[of] === id);
        return { id, name: config.name, outOfUse, state: held || outOfUse ? 'hold' : checked ? 'check' : 'clear' };
      });
  const lines = stations('line');
  const tubes = stations('tube');
  const worst = (state: LineCondition) => [...lines, ...tubes, ...cards].some((thing) => thing.state === state);
  return {
    at,
    state: worst('hold') ? 'hold' : worst('check') ? 'check' : 'clear',
    lines,
    tubes,
    cards: cards.slice(0, mostCards),
    more: Math.max(0, cards.length - mostCards),
    standing: cardsOf(shown.filter(isStanding), book).map((one) => calm(one, state)),
    due: dueList(state, at, book).filter(({ listed }) => listed),
    weekly: weeklyOf(state, open, at, book),
    orphans: [...(state.orphans ?? [])].reverse(),
  };
}

/** Takes space on the board: above advice, announced, not snoozed; a hold always, or nobody would know why the line waits. */
export function takesSpace(finding: Finding, at: number): boolean {
  if (finding.hold !== undefined) return true;
  return finding.severity !== 'advice' && (finding.announceAt ?? 0) <= at && (finding.snoozedUntil ?? 0) <= at;
}

function isStanding({ easedAt, severity }: Finding): boolean {
  return easedAt !== undefined && (severity === 'law' || severity === 'standard');
}

/** It may stand for weeks: its words begin with the day they are about. */
function calm({ what, line, tube, rule, severity, since, findings, count }: Card, state: SiteState): Standing {
  const day = sayDay(state.findings[findings[0] ?? '']?.openedAt ?? since, state.site?.zone ?? 'UTC');
  return { what: `${day}: ${what}`, line, tube, rule, severity, since, findings, count };
}

/** Which card a finding is on: one a cause, line and unit. */
export function cardOf(finding: Finding, book: PackBook): string {
  return `${book.rule(finding.rule)?.cause ?? finding.rule}|${finding.line ?? ''}|${finding.tube ?? ''}`;
}

/** One card a cause, line and unit: the rule's own, or what its pack says it shares with others. */
function cardsOf(shown: readonly Finding[], book: PackBook): Card[] {
  const byCause = new Map<string, Finding[]>();
  for (const finding of shown) {
    const cause = cardOf(finding, book);
    byCause.set(cause, [...(byCause.get(cause) ?? []), finding]);
  }
  return [...byCause.values()].map(card).sort(byUrgency);
}

function card(findings: Finding[]): Card {
  const holds = ({ hold }: Finding) => (hold === undefined ? 0 : 1);
  const ordered = [...findings].sort(
    (a, b) => holds(b) - holds(a) || rank(b) - rank(a) || b.openedAt - a.openedAt || (a.id < b.id ? -1 : 1),
  );
  const first = ordered[0] as Finding;
  return {
    state: findings.some(({ hold }) => hold !== undefined) ? 'hold' : 'check',
    what: first.message,
    doNow: first.advise,
    nextTest: first.retest,
    caution: first.caution,
    line: first.line,
    tube: first.tube,
    rule: first.rule,
    severity: first.severity,
    since: Math.min(...findings.map(({ openedAt }) => openedAt)),
    findings: ordered.map(({ id }) => id),
    count: findings.length,
  };
}

function rank({ severity }: { severity: Severity }): number {
  return severities.indexOf(severity);
}

function byUrgency(a: Card, b: Card): number {
  if (a.state !== b.state) return a.state === 'hold' ? -1 : 1;
  return rank(b) - rank(a) || a.since - b.since || (a.rule < b.rule ? -1 : 1);
}

/** Advice and what could not be judged this week: a list to read once, never an interruption. */
function weeklyOf(state: SiteState, open: readonly Finding[], at: number, book: PackBook): WeeklyItem[] {
  const advice = open
    .filter((finding) => finding.severity === 'advice' && (finding.snoozedUntil ?? 0) <= at)
    .map(({ id, rule, line, message, openedAt }): WeeklyItem => ({
      kind: 'advice',
      rules: [rule],
      line,
      text: message,
      since: openedAt,
      finding: id,
    }));
  const items = [...advice, ...gapsOf(state, at, book)];
  return items.sort((a, b) => a.since - b.since || ((a.rules[0] ?? '') < (b.rules[0] ?? '') ? -1 : 1));
}

/** One item a line and record that was left short, however many rules wait for it and however often. */
function gapsOf(state: SiteState, at: number, book: PackBook): WeeklyItem[] {
  const gaps = new Map<string, Unevaluable[]>();
  for (const gap of Object.values(state.unevaluable)) {
    if (at - gap.latest >= week || !isInForce(state, gap, at, book)) continue;
    // What is only too few so far was not forgotten by anybody, and comes with time.
    if (gap.missing.length > 0 && gap.missing.every(({ fact }) => facts.get(fact)?.scarce === true)) continue;
    const records = unique(gap.missing.map(({ fact }) => suppliesOf(fact)[0]?.event ?? fact));
    const charts = gap.missing.length > 0 ? [] : unique((gap.unanswered ?? []).map(({ chart }) => chart));
    const key = JSON.stringify([gap.line, records.sort(), charts]);
    gaps.set(key, [...(gaps.get(key) ?? []), gap]);
  }
  const zone = state.site?.zone ?? 'UTC';
  return [...gaps.values()].map((same): WeeklyItem => {
    const [first] = same as [Unevaluable];
    const rules = same.map(({ rule }) => rule);
    const since = Math.min(...same.map((gap) => gap.since));
    const missing = unique(same.flatMap((gap) => gap.missing.map(({ fact }) => fact)));
    const send = unique(
      same.flatMap(({ rule, missing: lacks }) =>
        lacks.flatMap((lack) => wantedFor(lack, heardBy(book.rule(rule))).map(({ event }) => event)),
      ),
    ).sort();
    const titles = unique(rules.map((rule) => book.rule(rule)?.title ?? rule)).join('; ');
    const where = first.line === undefined ? 'Since' : `${first.line}, since`;
    const text = `${where} ${sayDay(since, zone)}: ${missing.length > 0 ? unrecorded(same, missing) : withoutAnswer(same, zone)} Not judged for want of it: ${titles}.`;
    return { kind: 'notEvaluable', rules, line: first.line, text, since, missing, send };
  });
}

function unrecorded(same: readonly Unevaluable[], missing: readonly string[]): string {
  const names = unique(missing.map(nameOf));
  const isDoubted = same.some((gap) => gap.missing.some(({ why }) => why === 'doubtful'));
  const doubted = isDoubted ? ', or read with an instrument that failed its check' : '';
  return `${listed(names, names.length, 'and')} not recorded${doubted}.`;
}

function withoutAnswer(same: readonly Unevaluable[], zone: string): string {
  const all = unique(same.flatMap((gap) => (gap.unanswered ?? []).map((one) => sayNoAnswer(one, zone))));
  return `${listed(all, 2, 'and')}.`;
}

function unique(words: readonly string[]): string[] {
  return [...new Set(words)];
}
