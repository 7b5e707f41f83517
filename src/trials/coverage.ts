import type { Evaluation, Probe } from '../engine/checks.js';
import { dutyMoment } from '../engine/duties/instances.js';
import { dueRungs } from '../engine/duties/rungs.js';
import { readFact } from '../engine/facts/index.js';
import type { Finding, Verdict } from '../engine/finding.js';
import { advance, createState, step } from '../engine/fold.js';
import { judge, rungsOf } from '../engine/ladder.js';
import type { Moment } from '../engine/moment.js';
import type { SiteState } from '../engine/state.js';
import { sayBoundOf, sayLeaf } from './sentences.js';
import { PackBook } from '../packs/book.js';
import { otherName } from '../packs/conditions/compile.js';
import type { Tri } from '../packs/conditions/types.js';
import type { Condition, Leaf, Limit, Pack, Rule, Selector, Severity } from '../packs/model.js';
import { operators } from '../packs/operators/index.js';
import { effective } from './fold-site.js';
import { Judged } from './judged.js';
import { bookOf, stage, testsOf, type PackTest } from './rule-tests.js';

/** What the tests of packs touch, by pack; plain data. */
export interface Coverage {
  readonly packs: readonly PackCoverage[];
  readonly total: Share;
}
export interface Share {
  readonly covered: number;
  readonly of: number;
}
export interface PackCoverage {
  readonly pack: string;
  readonly rules: readonly RuleCoverage[];
  readonly limits: readonly RungCoverage[];
  readonly branches: readonly BranchCoverage[];
  readonly messages: readonly MessageCoverage[];
  /** Outcomes that some test has seen, of all there are; `notEvaluable` is shown and not counted. */
  readonly total: Share;
}
export interface RuleCoverage {
  readonly rule: string;
  readonly fired: boolean;
  /** A test of it ran, came to it and found nothing. */
  readonly silent: boolean;
  /** A later event ended a finding; absent where none can. */
  readonly cleared?: boolean;
}
/** One side of one limit. */
export interface RungCoverage {
  readonly limit: string;
  readonly side: 'min' | 'max';
  /** As a person reads it. */
  readonly bound: string;
  readonly for: Selector;
  readonly severity: Severity;
  readonly met: boolean;
  readonly broken: boolean;
  readonly notEvaluable: boolean;
}
/** A leaf of a condition tree: whether it was reached and true, and reached and false. */
export interface BranchCoverage {
  readonly rule: string;
  readonly part: 'when' | 'clearedBy';
  /** Its place in the tree: `all/1/any/0`. */
  readonly path: string;
  readonly leaf: string;
  readonly true: boolean;
  readonly false: boolean;
}
export interface MessageCoverage {
  readonly rule: string;
  readonly say: string;
  readonly said: boolean;
}

/**
 * What the tests of these packs touch, run among all the packs that are in force with them; tests of those others do not
 * count. A test counts for the rules
 * that it speaks of and for what they read, wherever the limit comes from; what it sets off besides is not looked at.
 */
export function coverageOf(packs: readonly Pack[], among: readonly Pack[] = packs): Coverage {
  const seen = new Set<string>();
  const book = new PackBook(among.map(marked));
  for (const pack of packs) for (const test of testsOf(pack)) watch(test, book, seen);
  const covered = packs.map((pack) => ofPack(pack, seen));
  return { packs: covered, total: sum(covered.map(({ total }) => total)) };
}

/** Names under which outcomes are noted. A limit is named by its place: its id may stand in a pack more than once. */
const limitMark = (pack: Pack, index: number) => `${pack.id} ${pack.version} limit ${index}`;
const rungName = (mark: string, side: 'min' | 'max', outcome: Verdict['verdict']) => `${mark} ${side} ${outcome}`;
const leafName = (rule: string, part: string, path: string, outcome: boolean) => `${rule} ${part} ${path} ${outcome}`;
const messageName = (rule: string, index: number) => `${rule} message ${index}`;

type Marked = { readonly mark?: string };

/** The pack with its limits marked, and each message saying its number: what is said then shows which it was. */
function marked(pack: Pack): Pack {
  const say = (rule: Rule) => ({
    ...rule,
    messages: rule.messages.map((one, index) => ({ ...one, say: `#${index}` })),
  });
  return {
    ...pack,
    limits: pack.limits.map((limit, index) => ({ ...limit, mark: limitMark(pack, index) })),
    rules: pack.rules.map(say),
  };
}

function watch(test: PackTest, among: PackBook, seen: Set<string>): void {
  const staged = stage(test);
  const book = bookOf(test.test, among);
  if (typeof staged === 'string') return;
  const state = createState();
  const found = new Map<string, Finding>();
  const keep = (touched: readonly Finding[]) => {
    for (const finding of touched) if (test.rules.includes(finding.rule)) found.set(finding.id, finding);
    noteDuties(state, book, test.rules, false, seen);
  };
  const judged = new Judged();
  const probe: Probe = (evaluation, moment) => {
    judged.probe(evaluation);
    if (moment !== undefined && test.rules.includes(evaluation.check.id)) noteCheck(evaluation, moment, seen);
  };
  for (const event of effective(staged.events)) {
    if (staged.until !== undefined && event.at > staged.until) break;
    // What falls due on the way is seen before the event that may end it.
    keep(advance(state, event.at - 1, book, probe));
    keep(step(state, event, book, probe));
    judged.look(state);
  }
  if (staged.until !== undefined) {
    keep(advance(state, staged.until, book, probe));
    judged.look(state);
  }
  noteDuties(state, book, test.rules, true, seen);
  for (const rule of test.rules) {
    const own = [...found.values()].filter((finding) => finding.rule === rule);
    if (own.length > 0) seen.add(`${rule} fired`);
    else if (judged.has(rule)) seen.add(`${rule} silent`);
    if (own.some((finding) => finding.state === 'cleared')) seen.add(`${rule} cleared`);
    for (const { said } of own) for (const { message } of said) seen.add(messageName(rule, Number(message.slice(1))));
  }
}

function noteCheck({ check, result }: Evaluation, moment: Moment, seen: Set<string>): void {
  reach(check.when, check.id, 'when', '', moment, seen);
  if (result === undefined && check.clearedBy !== undefined)
    reach(check.clearedBy, check.id, 'clearedBy', '', moment, seen);
  // A trend foresees its limit, whether or not its condition names one.
  if (check.trend?.forecast !== undefined) noteRungs(check.trend.forecast.limit, 'outside', moment, seen);
}

/** The way of an evaluation through a tree: what a decided group did not come to is not reached. */
function reach(condition: Condition, rule: string, part: string, path: string, moment: Moment, seen: Set<string>): Tri {
  const into = (one: Condition, step: string) =>
    reach(one, rule, part, path === '' ? step : `${path}/${step}`, moment, seen);
  if ('not' in condition) {
    const result = into(condition.not, 'not');
    return result === undefined ? undefined : !result;
  }
  if ('fact' in condition) {
    const result = ofLeaf(condition, moment, seen);
    if (result !== undefined) seen.add(leafName(rule, part, path, result));
    return result;
  }
  const [word, list, decisive] =
    'all' in condition ? (['all', condition.all, false] as const) : (['any', condition.any, true] as const);
  let result: Tri = !decisive;
  for (const [index, one] of list.entries()) {
    const got = into(one, `${word}/${index}`);
    if (got === decisive) return decisive;
    if (got === undefined) result = undefined;
  }
  return result;
}

/** `below` asks the lower sides of a limit only, `above` the upper ones. */
const asks = (operator: Leaf['operator'], side: 'min' | 'max') =>
  side === 'min' ? operator !== 'above' : operator !== 'below';

function ofLeaf({ fact, operator, value }: Leaf, moment: Moment, seen: Set<string>): Tri {
  const other = otherName(value);
  const limit = other?.startsWith('limit:') === true ? other.slice('limit:'.length) : undefined;
  if (limit !== undefined) noteRungs(limit, operator, moment, seen);
  const beside = limit !== undefined ? judge(moment, limit) : other === undefined ? value : readFact(moment, other);
  return operators[operator](readFact(moment, fact), beside);
}

function noteRungs(limit: string, operator: Leaf['operator'], moment: Moment, seen: Set<string>): void {
  for (const one of moment.rules.limits.get(limit) ?? [])
    for (const { side, verdict } of rungsOf(moment, one).filter((rung) => asks(operator, rung.side)))
      seen.add(rungName((one as Marked).mark ?? '', side, verdict));
}

/** Rungs of duties that are owed, and at the end of a test those of all: a limit that was never reached is met. */
function noteDuties(
  state: SiteState,
  book: PackBook,
  rules: readonly string[],
  atEnd: boolean,
  seen: Set<string>,
): void {
  const { site, at } = state;
  if (site === null) return;
  const base = { at, state, site, rules: book.at(at, site) };
  for (const instance of Object.values(state.duties)) {
    if (!rules.includes(instance.rule) || !(atEnd || instance.finding !== undefined)) continue;
    const duty = base.rules.duties.find(({ id }) => id === instance.rule);
    if (duty === undefined) continue;
    for (const { limit, verdict } of dueRungs(dutyMoment(base, instance, undefined), duty, instance)) {
      const judged = verdict(at);
      if (limit !== undefined && judged !== undefined)
        seen.add(rungName((limit as Marked).mark ?? '', judged.side, judged.verdict));
    }
  }
}

function ofPack(pack: Pack, seen: ReadonlySet<string>): PackCoverage {
  const rules = pack.rules.map((rule) => ruleCoverage(rule, seen));
  const limits = pack.limits.flatMap((limit, index) => rungCoverage(limit, limitMark(pack, index), seen));
  const branches = pack.rules.flatMap((rule) => branchCoverage(rule, seen));
  const messages = pack.rules.flatMap(({ id, messages: all }) =>
    all.map(({ say }, index) => ({ rule: id, say, said: seen.has(messageName(id, index)) })),
  );
  const outcomes = [
    ...rules.flatMap(({ fired, silent, cleared }) => [fired, silent, ...(cleared === undefined ? [] : [cleared])]),
    ...limits.flatMap(({ met, broken }) => [met, broken]),
    ...branches.flatMap((leaf) => [leaf.true, leaf.false]),
    ...messages.map(({ said }) => said),
  ];
  return {
    ...{ pack: pack.id, rules, limits, branches, messages },
    total: { covered: outcomes.filter(Boolean).length, of: outcomes.length },
  };
}

function ruleCoverage(rule: Rule, seen: ReadonlySet<string>): RuleCoverage {
  const clears = rule.kind === 'duty' || rule.clears === 'passing';
  return {
    rule: rule.id,
    fired: seen.has(`${rule.id} fired`),
    silent: seen.has(`${rule.id} silent`),
    ...(clears ? { cleared: seen.has(`${rule.id} cleared`) } : {}),
  };
}

function rungCoverage(limit: Limit, mark: string, seen: ReadonlySet<string>): RungCoverage[] {
  return (['min', 'max'] as const).flatMap((side) => {
    const bound = limit[side];
    if (bound === undefined) return [];
    return {
      ...{ limit: limit.id, side, bound: sayBoundOf(bound), for: limit.for, severity: limit.severity },
      met: seen.has(rungName(mark, side, 'met')),
      broken: seen.has(rungName(mark, side, 'broken')),
      notEvaluable: seen.has(rungName(mark, side, 'unknown')),
    };
  });
}

function branchCoverage(rule: Rule, seen: ReadonlySet<string>): BranchCoverage[] {
  if (rule.kind === 'duty') return [];
  const parts = [['when', rule.when] as const, ...(rule.clearedBy ? [['clearedBy', rule.clearedBy] as const] : [])];
  return parts.flatMap(([part, condition]) =>
    leaves(condition, '').map(({ path, leaf }) => ({
      ...{ rule: rule.id, part, path, leaf: sayLeaf(leaf) },
      true: seen.has(leafName(rule.id, part, path, true)),
      false: seen.has(leafName(rule.id, part, path, false)),
    })),
  );
}

function leaves(condition: Condition, path: string): { path: string; leaf: Leaf }[] {
  if ('fact' in condition) return [{ path, leaf: condition }];
  const into = (one: Condition, step: string) => leaves(one, path === '' ? step : `${path}/${step}`);
  if ('not' in condition) return into(condition.not, 'not');
  const [word, list] = 'all' in condition ? (['all', condition.all] as const) : (['any', condition.any] as const);
  return list.flatMap((one, index) => into(one, `${word}/${index}`));
}

function sum(shares: readonly Share[]): Share {
  return shares.reduce((a, b) => ({ covered: a.covered + b.covered, of: a.of + b.of }), { covered: 0, of: 0 });
}
