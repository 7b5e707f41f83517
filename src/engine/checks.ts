import type { RuleSet, Said } from '../packs/book.js';
import { compileCondition, type CompiledCondition } from '../packs/conditions/compile.js';
import { rateFacts, trendFacts } from '../packs/followed-facts.js';
import type { Check } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import { readFact } from './facts/index.js';
import type { Verdict } from './finding.js';
import { firing, say, type Firing } from './findings.js';
import { checked, rely } from './instruments.js';
import { judge } from './ladder.js';
import type { Moment } from './moment.js';
import { refKey, wordIn } from './refs.js';
import { filmsOf, fire, lineTopic, pass } from './spells.js';
import type { Touched } from './touched.js';
import { trendOf } from './trends/figures.js';
import { note, noteUnevaluable } from './unevaluable.js';

export interface CompiledCheck {
  readonly check: Said<Check>;
  readonly when: CompiledCondition;
  readonly clearedBy?: CompiledCondition;
  readonly messages: readonly { readonly when?: CompiledCondition; readonly say: string }[];
}

/** Topics that come anew with every film or fill: what could not be judged of them is kept by line, and so bounded. */
const passing: ReadonlySet<Check['about']> = new Set(['run', 'event', 'film', 'fill', 'mount', 'lot']);

const compiled = new WeakMap<RuleSet, Map<string, readonly CompiledCheck[]>>();

function checksOn(rules: RuleSet, type: string): readonly CompiledCheck[] {
  return onceFor(rules, type, () => rules.checksOn.get(type) ?? []);
}

/** The checks that are judged at the end of a site-day. */
export function ratesOf(rules: RuleSet): readonly CompiledCheck[] {
  return onceFor(rules, 'end of day', () => rules.rates);
}

function onceFor(rules: RuleSet, when: string, of: () => readonly Said<Check>[]): readonly CompiledCheck[] {
  let lists = compiled.get(rules);
  if (lists === undefined) compiled.set(rules, (lists = new Map()));
  let list = lists.get(when);
  if (list === undefined) lists.set(when, (list = of().map(compile)));
  return list;
}

function compile(check: Said<Check>): CompiledCheck {
  return {
    check,
    when: compileCondition(check.when),
    clearedBy: check.clearedBy && compileCondition(check.clearedBy),
    messages: check.messages.map(({ when, say: text }) => ({
      when: when === undefined ? undefined : compileCondition(when),
      say: text,
    })),
  };
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
  const { event, rules } = moment;
  if (event === undefined) return;
  const instrument: (boolean | undefined)[] = [];
  for (const one of checksOn(rules, event.type)) {
    const { check } = one;
    if ((about !== undefined && check.about !== about) || !selects(check.for, moment.scene)) continue;
    const seen = check.trend === undefined ? moment : { ...moment, trend: trendOf(moment, check.trend) };
    const topic = topicOf(check, moment);
    const result = judgeCheck(seen, one, topic, touched, probe);
    if (check.about === 'instrument' && topic !== undefined) instrument.push(result);
  }
  if (instrument.length > 0) checked(moment, instrument, touched);
}

/**
 * Judge one check at a moment that has the facts it follows, if it follows any.
 * @param topic what it would be said of; undefined where the event does not say.
 */
export function judgeCheck(
  moment: Moment,
  one: CompiledCheck,
  topic: string | undefined,
  touched: Touched,
  probe?: Probe,
): boolean | undefined {
  const { check, when } = one;
  const { state } = moment;
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
  if (topic === undefined) {
    noteUnnamed(moment, check, result);
    return result;
  }
  const lasting = `${check.id}|${passing.has(check.about) ? lineTopic(moment) : topic}`;
  const retested = result === undefined && one.clearedBy?.evaluate(read) === true;
  if (result === undefined && !retested) {
    noteUnevaluable(moment, check, lasting, when.missing(read), ladders);
    return undefined;
  }
  for (const key of [lasting, unnamedKey(moment, check)]) if (key in state.unevaluable) delete state.unevaluable[key];
  const finding = result ? fire(moment, speak(moment, one, read, ladders), check, topic, touched) : undefined;
  if (!result) pass(moment, check, topic, touched);
  if (moment.relied.size > 0) rely(moment, check, lasting, finding);
  return result;
}

/** What a check says now of an event that it was met at before; undefined where it is not in force or not met any more. */
export function sayOf(moment: Moment, rule: string): Firing | undefined {
  const { event, rules } = moment;
  const one = event && checksOn(rules, event.type).find(({ check }) => check.id === rule);
  if (one === undefined) return undefined;
  const ladders = new Map<string, Verdict[]>();
  const read = reader(moment, ladders);
  return one.when.evaluate(read) === true ? speak(moment, one, read, ladders) : undefined;
}

/** Facts by name, and ladders by `limit:<id>`, each judged once and kept in `ladders`. */
export function reader(moment: Moment, ladders: Map<string, Verdict[]>): (name: string) => unknown {
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

/** What a trend or a rate goes by, or what joins findings, whether or not its condition asks for all of it. */
function followed({ trend, rate, same }: Check): readonly string[] {
  if (same !== undefined) return [same];
  if (trend !== undefined) return [trend.of, ...trendFacts];
  return rate === undefined ? [] : [...rateFacts];
}

/** Words and numbers of a check at this moment; `read` and `ladders` are those that it was judged with. */
function speak(
  moment: Moment,
  { check, when, messages }: CompiledCheck,
  read: (name: string) => unknown,
  ladders: ReadonlyMap<string, Verdict[]>,
): Firing {
  const facts = snapshot([...when.reads.filter((name) => !name.startsWith('limit:')), ...followed(check)], read);
  // Every limit the rule names is judged, also those that a condition met on its way did not ask for.
  for (const name of when.reads) if (name.startsWith('limit:')) read(name);
  const chain = [...ladders.values()].flat();
  const message = messages.find((variant) => variant.when === undefined || variant.when.evaluate(read) === true)?.say;
  const count = String(filmsOf(moment) || 1);
  return firing(check, moment, chain, facts, say(message ?? check.title, moment, chain, { count, films: count }));
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
