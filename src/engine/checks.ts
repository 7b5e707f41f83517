import { filmCount } from '../events/film.js';
import type { RuleSet, Said } from '../packs/book.js';
import { compileCondition, type CompiledCondition } from '../packs/conditions/compile.js';
import type { Check } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import { dueAfter } from './calendar.js';
import { readFact } from './facts/index.js';
import type { Finding, Verdict } from './finding.js';
import { closeFinding, fireAgain, firing, openFinding, say, addEvidence, joinFiring, type Firing } from './findings.js';
import { checked, rely } from './instruments.js';
import { judge } from './ladder.js';
import type { Moment } from './moment.js';
import { refKey, refOf, wordIn } from './refs.js';
import type { Touched } from './touched.js';
import { note, noteUnevaluable } from './unevaluable.js';

interface CompiledCheck {
  readonly check: Said<Check>;
  readonly when: CompiledCondition;
  readonly clearedBy?: CompiledCondition;
  readonly messages: readonly { readonly when?: CompiledCondition; readonly say: string }[];
}

/** Topics that come anew with every film or fill: what could not be judged of them is kept by line, and so bounded. */
const passing: ReadonlySet<Check['about']> = new Set(['run', 'event', 'film', 'fill', 'mount', 'lot']);

const compiled = new WeakMap<RuleSet, Map<string, CompiledCheck[]>>();

function checksOn(rules: RuleSet, type: string): readonly CompiledCheck[] {
  let byType = compiled.get(rules);
  if (byType === undefined) compiled.set(rules, (byType = new Map()));
  let list = byType.get(type);
  if (list === undefined) {
    list = (rules.checksOn.get(type) ?? []).map((check) => ({
      check,
      when: compileCondition(check.when),
      clearedBy: check.clearedBy && compileCondition(check.clearedBy),
      messages: check.messages.map(({ when, say: text }) => ({
        when: when === undefined ? undefined : compileCondition(when),
        say: text,
      })),
    }));
    byType.set(type, list);
  }
  return list;
}

/** What one evaluation came to; for probes that compare evaluators. */
export interface Evaluation {
  readonly check: Said<Check>;
  /** Read when it is asked for: before the fold goes on. */
  readonly snapshot: Record<string, unknown>;
  readonly result: boolean | undefined;
}
/** `moment` is what it was judged on: it changes with the fold, so it is read at once or not at all. */
export type Probe = (evaluation: Evaluation, moment?: Moment) => void;

/** Judge every check that listens to the event, or those about one thing; touched findings are added to `touched`. */
export function runChecks(moment: Moment, touched: Touched, probe?: Probe, about?: Check['about']): void {
  const { event, state, rules } = moment;
  if (event === undefined) return;
  const instrument: (boolean | undefined)[] = [];
  for (const one of checksOn(rules, event.type)) {
    const { check, when } = one;
    if ((about !== undefined && check.about !== about) || !selects(check.for, moment.scene)) continue;
    const ladders = new Map<string, Verdict[]>();
    const read = reader(moment, ladders);
    moment.relied.clear();
    const result = when.evaluate(read);
    if (probe !== undefined) {
      // With ladders and a moment of its own: being watched must not change what the fold itself has looked at.
      const seen = { ...moment, relied: new Map() };
      const evaluation = {
        check,
        result,
        get snapshot() {
          return snapshot(when.reads, reader(seen, new Map()));
        },
      };
      probe(evaluation, seen);
    }
    const topic = topicOf(check, moment);
    if (topic === undefined) {
      noteUnnamed(moment, check, result);
      continue;
    }
    if (check.about === 'instrument') instrument.push(result);
    const lasting = `${check.id}|${passing.has(check.about) ? lineTopic(moment) : topic}`;
    const retested = result === undefined && one.clearedBy?.evaluate(read) === true;
    if (result === undefined && !retested) {
      noteUnevaluable(moment, check, lasting, when.missing(read), ladders);
      continue;
    }
    for (const key of [lasting, unnamedKey(moment, check)]) if (key in state.unevaluable) delete state.unevaluable[key];
    const finding = result ? fire(moment, speak(moment, one, read, ladders), check, topic, touched) : undefined;
    if (!result) pass(moment, check, topic, touched);
    if (moment.relied.size > 0) rely(moment, check, lasting, finding);
  }
  if (instrument.length > 0) checked(moment, instrument, touched);
}

/** Facts by name, and ladders by `limit:<id>`, each judged once and kept in `ladders`. */
function reader(moment: Moment, ladders: Map<string, Verdict[]>): (name: string) => unknown {
  return (name) => {
    if (!name.startsWith('limit:')) return readFact(moment, name);
    let ladder = ladders.get(name);
    if (ladder === undefined) ladders.set(name, (ladder = judge(moment, name.slice(6))));
    return ladder;
  };
}

function snapshot(reads: readonly string[], read: (name: string) => unknown): Record<string, unknown> {
  return Object.fromEntries(reads.map((name) => [name, read(name)]).filter(([, value]) => value !== undefined));
}

function speak(
  moment: Moment,
  { check, when, messages }: CompiledCheck,
  read: (name: string) => unknown,
  ladders: ReadonlyMap<string, Verdict[]>,
): Firing {
  const facts = snapshot(
    when.reads.filter((name) => !name.startsWith('limit:')),
    read,
  );
  // Every limit the rule names is judged, also those that a condition met on its way did not ask for.
  for (const name of when.reads) if (name.startsWith('limit:')) read(name);
  const chain = [...ladders.values()].flat();
  const message = messages.find((variant) => variant.when === undefined || variant.when.evaluate(read) === true)?.say;
  const count = String(filmsOf(moment) || 1);
  return firing(check, moment, chain, facts, say(message ?? check.title, moment, chain, { count, films: count }));
}

function filmsOf({ event }: Moment): number {
  return event?.type === 'film.processed' || event?.type === 'film.refixed' ? filmCount(event.data) : 0;
}

function fire(
  moment: Moment,
  spoken: Firing,
  check: Said<Check>,
  topic: string,
  touched: Touched,
): Finding | undefined {
  const { state, event } = moment;
  if (event === undefined) return undefined;
  const ref = refOf(event);
  const open = openSpell(moment, check, topic, spoken.severity);
  if (open !== undefined) {
    // The same advice is not given twice.
    if (check.clears === 'passing' && spoken.severity === 'advice' && spoken.message === open.message) return open;
    if (check.clears === 'never') {
      open.films += filmsOf(moment);
      open.occurrences += 1;
      addEvidence(open, ref);
      joinFiring(open, spoken);
    } else {
      fireAgain(open, spoken, ref);
    }
    touched.add(open);
    return open;
  }
  const finding = openFinding(state, spoken, {
    topic,
    anchor: ref,
    anchorKey: refKey(ref),
    openedAt: moment.at,
    evidence: [ref],
    films: filmsOf(moment),
  });
  if (check.clears === 'passing') state.spells[`${check.id}|${topic}`] = finding.id;
  else (state.uneased[`${check.id}|${lineTopic(moment)}`] ??= []).push(finding.id);
  touched.add(finding);
  return finding;
}

/**
 * The open finding that a firing belongs to: its spell, or one it joins by time on the same line, if it is on the same
 * word: what is outside practice alone is not made law by a run that is.
 */
function openSpell(
  moment: Moment,
  check: Said<Check>,
  topic: string,
  severity: Finding['severity'],
): Finding | undefined {
  const { state } = moment;
  const spell = state.spells[`${check.id}|${topic}`];
  if (spell !== undefined) return state.findings[spell];
  const join = check.join;
  if (join === undefined) return undefined;
  const opens = (state.uneased[`${check.id}|${lineTopic(moment)}`] ?? []).map((id) => state.findings[id]);
  return opens.find(
    (finding) =>
      finding !== undefined &&
      finding.severity === severity &&
      (join === 'day'
        ? finding.openedAt >= state.day.start
        : moment.at <= dueAfter(finding.openedAt, join, moment.site.zone)),
  );
}

/** The check was evaluable and did not fire: a lasting spell ends, and cards of single runs may leave the board. */
function pass(moment: Moment, check: Said<Check>, topic: string, touched: Touched): void {
  const { state, event } = moment;
  if (event === undefined) return;
  const spell = state.spells[`${check.id}|${topic}`];
  const open = spell === undefined ? undefined : state.findings[spell];
  if (open !== undefined) {
    addEvidence(open, refOf(event));
    closeFinding(state, open, 'cleared', moment.at, refOf(event));
    touched.add(open);
  }
  const eased = `${check.id}|${lineTopic(moment)}`;
  const waiting = state.uneased[eased];
  if (waiting === undefined) return;
  for (const id of waiting) {
    const finding = state.findings[id];
    if (finding === undefined) continue;
    finding.easedAt = moment.at;
    touched.add(finding);
  }
  delete state.uneased[eased];
}

function lineTopic(moment: Moment): string {
  return moment.line !== undefined
    ? `line:${moment.line.id}`
    : moment.tube !== undefined
      ? `tube:${moment.tube.id}`
      : 'site';
}

/** What the finding is about; undefined when the event does not say (no such line, no fill on record). */
function topicOf(check: Said<Check>, moment: Moment): string | undefined {
  const { event, line, bath, tube } = moment;
  if (event === undefined) return undefined;
  const named = (kind: string) => {
    const word = wordIn(event, kind);
    return word && `${kind}:${word}`;
  };
  switch (check.about) {
    case 'run':
    case 'event':
    case 'film':
      return `${check.about}:${refKey(event)}`;
    case 'line':
      return line && `line:${line.id}`;
    case 'fill': {
      const fill = bath?.state.fill;
      return line && bath && fill ? `fill:${line.id}/${bath.name}/${refKey(fill.ref)}` : undefined;
    }
    case 'tube':
      return tube && `tube:${tube.id}`;
    case 'lot':
    case 'instrument':
    case 'mount':
      return named(check.about);
    case 'site':
      return 'site';
  }
}

/**
 * What was found has no thing to put its name to: a fill that nobody recorded, or an event that names no instrument, lot
 * or unit. What would be said of a fill waits for its change.
 */
function noteUnnamed(moment: Moment, check: Said<Check>, result: boolean | undefined): void {
  const { event, line, bath } = moment;
  if (event === undefined || result === false) return;
  const isFill = check.about === 'fill' && line !== undefined && bath !== undefined;
  if (isFill && bath.name === 'wash') return;
  // An event that may name a lot and does not lacks nothing until something is found.
  if (!isFill && (result !== true || wordIn(event, check.about) !== undefined)) return;
  const missing = isFill
    ? [{ fact: 'chemistry.since', why: 'missing' as const }]
    : [{ fact: check.about, why: 'unnamed' as const }];
  note(moment, check, unnamedKey(moment, check), { missing, unanswered: [] });
}

/** Without a thing, what could not be judged is kept by the line. */
function unnamedKey(moment: Moment, check: Check): string {
  return `${check.id}|${lineTopic(moment)}`;
}
