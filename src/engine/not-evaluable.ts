import { listed } from '../events/faults.js';
import type { PackBook, RuleSet, Said } from '../packs/book.js';
import { fieldsOf } from '../packs/eventFields.js';
import { facts } from '../packs/facts.js';
import { countedEvents } from '../packs/followed-facts.js';
import type { Duty, EventPattern, Rule } from '../packs/model.js';
import { freshFacts, freshFor, saySupply, suppliesFor } from '../packs/supply.js';
import { dutyMoment } from './duties/instances.js';
import { say } from './findings.js';
import type { DutyState, Lack, NoAnswer, SiteState, Unevaluable } from './state.js';
import { sayDayFrom, sayFact, sayTime } from './words.js';

/** A rule that cannot be judged at a site, since when, and what would change that. Instants in ms. */
export interface NotEvaluable {
  readonly rule: string;
  readonly title: string;
  readonly kind: 'check' | 'duty';
  /** What it is about: `line:M1`, `instrument:T1`, `site`. */
  readonly topic: string;
  readonly line?: string;
  readonly tube?: string;
  readonly bath?: string;
  /** The first time it could not be judged since it was last judged, and the latest. */
  readonly since: number;
  readonly latest: number;
  /** How often in between; absent for a duty, which waits all the time. */
  readonly count?: number;
  /** "Not evaluable at M1 since Mon 2 Mar: no developer temperature within 4 h; send bath.measured with …." */
  readonly text: string;
  readonly missing: readonly MissingFact[];
  readonly unanswered: readonly Unanswered[];
  /** The open finding that stays as it is meanwhile, and what it holds. */
  readonly finding?: string;
  readonly hold?: 'line' | 'tube';
}
export interface MissingFact {
  /** Absent where a duty has nothing on record, and where an event does not name what the rule is about. */
  readonly fact?: string;
  readonly meaning: string;
  readonly why: Lack['why'];
  readonly text: string;
  /** How long a reading is good. */
  readonly goodFor?: string;
  readonly readAt?: number;
  readonly instrument?: string;
  /** Any of these supplies it. */
  readonly send: readonly Wanted[];
}
/** An event that would supply a fact: its type, words that fields of it must have, and fields that must be there. */
export interface Wanted {
  readonly event: string;
  readonly with: Readonly<Record<string, string>>;
  readonly fields: readonly string[];
}
export interface Unanswered extends NoAnswer {
  readonly text: string;
}

/** Every rule in force that cannot be judged at a site, longest first. The state must stand at `at` (see `advance`). */
export function notEvaluable(state: SiteState, at: number, book: PackBook): NotEvaluable[] {
  const { site } = state;
  if (site === null) return [];
  const rules = book.at(at, site);
  const checks = Object.values(state.unevaluable)
    .filter((gap) => isInForce(state, gap, at, book))
    .map((gap) => ofCheck(state, gap, at, rules));
  const duties = rules.duties.flatMap((duty) =>
    Object.values(state.duties)
      .filter((instance) => instance.rule === duty.id && isUnknown(duty, instance))
      .map((instance) => {
        const title = say(duty.title, dutyMoment({ at, state, site, rules }, instance, undefined), [], {});
        return ofDuty(duty, title, instance, at, site.zone);
      }),
  );
  return [...checks, ...duties].sort(
    (a, b) => a.since - b.since || (a.rule < b.rule ? -1 : a.rule > b.rule ? 1 : a.topic < b.topic ? -1 : 1),
  );
}

/** Whether the rule still speaks of the site, and of a line that is still there. */
export function isInForce(state: SiteState, { rule, line }: Unevaluable, at: number, book: PackBook): boolean {
  if (state.site === null || !book.at(at, state.site).rules.has(rule)) return false;
  return line === undefined || state.lines[line]?.config.ended !== true;
}

/** What a person would write down of a fact. */
export function nameOf(fact: string): string {
  const known = facts.get(fact);
  return known?.called ?? known?.meaning ?? fact;
}

/** "Wall chart has no answer for 84 F, over its last row". */
export function sayNoAnswer({ limit, chart, by, key, why }: NoAnswer, zone: string): string {
  if (why === 'notInForce' || by === undefined || key === undefined)
    return `the chart ${chart}, which a limit of ${limit} names, is not in force here`;
  const where = { below: 'under its first row', above: 'over its last row', gap: 'where it has a gap' }[why];
  return `${chart} has no answer for ${sayFact(by, key, zone) ?? key}, ${where}`;
}

function ofCheck(state: SiteState, gap: Unevaluable, at: number, rules: RuleSet): NotEvaluable {
  const zone = state.site?.zone ?? 'UTC';
  const rule = rules.rules.get(gap.rule);
  const missing = gap.missing.map((lack) => missingFact(lack, heardBy(rule), at, zone));
  const unanswered = (gap.unanswered ?? []).map((one) => ({ ...one, text: sayNoAnswer(one, zone) }));
  const open = state.findings[state.spells[`${gap.rule}|${gap.topic}`] ?? ''];
  const hold = open?.hold;
  const [kind, name] = splitTopic(gap.topic);
  const place = gap.line ?? (kind === 'site' ? 'the office' : name);
  const reasons = [
    ...missing.map(({ text, send }) => `${text}; send ${sayWanted(send)}`),
    ...unanswered.map(({ text }) => text),
  ];
  const stays = open === undefined ? '' : ` ${sayStays(hold, place)}`;
  return {
    rule: gap.rule,
    title: rule?.title ?? gap.rule,
    kind: 'check',
    topic: gap.topic,
    line: gap.line,
    tube: kind === 'tube' ? name : undefined,
    since: gap.since,
    latest: gap.latest,
    count: gap.count,
    text: `Not evaluable at ${place} since ${sayDayFrom(gap.since, at, zone)}: ${reasons.join('; and ')}.${stays}`,
    missing,
    unanswered,
    finding: open?.id,
    hold,
  };
}

function sayStays(hold: 'line' | 'tube' | undefined, place: string): string {
  return hold === undefined
    ? 'What it found before stays open until it can be judged.'
    : `It holds ${place} until it can be judged and passes.`;
}

function splitTopic(topic: string): [kind: string, name: string] {
  const at = topic.indexOf(':');
  return at < 0 ? [topic, topic] : [topic.slice(0, at), topic.slice(at + 1)];
}

/** The event types a check listens to, or whose counts it waits for. */
export function heardBy(rule: Rule | undefined): readonly string[] {
  return rule?.kind !== 'check' ? [] : rule.rate === undefined ? rule.on : countedEvents;
}

function missingFact(
  { fact, why, readAt, instrument }: Lack,
  on: readonly string[],
  at: number,
  zone: string,
): MissingFact {
  if (why === 'unnamed') return unnamed(fact, on);
  const name = nameOf(fact);
  const goodFor = freshFacts.has(fact) ? freshFor.text : undefined;
  const read = readAt === undefined ? '' : `, read ${sayDayFrom(readAt, at, zone)} ${clockOf(readAt, zone)}`;
  const text =
    why === 'doubtful'
      ? `${name} in doubt: ${instrument ?? 'the instrument'} failed its check${read}`
      : goodFor === undefined
        ? `${facts.get(fact)?.scarce === true ? 'too few' : 'no'} ${name} on record`
        : `no ${name} within ${goodFor}${read === '' ? '' : ` (last${read.slice(1)})`}`;
  const send = wantedFor({ fact, why }, on);
  return { fact, meaning: facts.get(fact)?.meaning ?? fact, why, text, goodFor, readAt, instrument, send };
}

/** An event that does not name the thing that the rule is about: no finding can be put to its name. */
function unnamed(thing: string, on: readonly string[]): MissingFact {
  const send = wantedFor({ fact: thing, why: 'unnamed' }, on);
  return { meaning: `the ${thing} that it is about`, why: 'unnamed', text: `no ${thing} named`, send };
}

/** What would supply what is lacking to a check on these event types. */
export function wantedFor({ fact, why }: Lack, on: readonly string[]): Wanted[] {
  return why === 'unnamed'
    ? on
        .filter((type) => fieldsOf(type).some(({ name }) => name === fact))
        .map((event) => ({ event, with: {}, fields: [fact] }))
    : suppliesFor(fact, on).map(({ event, with: words = {}, fields = [] }) => ({ event, with: words, fields }));
}

function clockOf(at: number, zone: string): string {
  return sayTime(at, zone).slice(4);
}

function sayWanted(send: readonly Wanted[]): string {
  return listed(
    send.map((one) => saySupply(one)),
    send.length,
    'or',
  );
}

/** An interval that a limit gives runs from the last time; with none on record, its age is not known (see `dueRungs`). */
function isUnknown({ cadence }: Duty, { done }: DutyState): boolean {
  return cadence.kind === 'every' && cadence.limit !== undefined && done === null;
}

function ofDuty(
  duty: Said<Duty>,
  title: string,
  { line, bath, tube, since }: DutyState,
  at: number,
  zone: string,
): NotEvaluable {
  const place = [line ?? tube ?? 'the office', bath].filter((word) => word !== undefined).join(' ');
  const send = duty.must.map((pattern) => wanted(pattern, bath));
  const text = 'nothing on record of when it was last done';
  const missing: MissingFact = { meaning: 'when it was last done', why: 'missing', text, send };
  const topic = line !== undefined ? `line:${line}` : tube !== undefined ? `tube:${tube}` : 'site';
  return {
    rule: duty.id,
    title,
    kind: 'duty',
    topic,
    line,
    tube,
    bath,
    since,
    latest: at,
    text: `Not evaluable at ${place} since ${sayDayFrom(since, at, zone)}: ${text}; send ${sayWanted(send)}. Until then it is counted from that day, as a warning at most.`,
    missing: [missing],
    unanswered: [],
  };
}

function wanted({ event, with: words, has }: EventPattern, bath: string | undefined): Wanted {
  const given = Object.entries(words).map(([field, values]) => [field, values.join(' or ')] as const);
  return { event, with: { ...Object.fromEntries(given), ...(bath === undefined ? {} : { bath }) }, fields: has };
}
