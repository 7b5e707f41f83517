import type { LedgerEvent } from '../../events/event.js';
import type { PackBook } from '../../packs/book.js';
import { compileCondition } from '../../packs/conditions/compile.js';
import { membersOf, modelOf, type Knowledge } from '../../packs/defects.js';
import type { DefectCause } from '../../packs/model.js';
import { inferCauses, mostSigns, type ModelledCause } from '../../radiography/defects/inference.js';
import { informationOf } from '../../radiography/defects/information.js';
import { isRefusal, type Answer } from '../../refusal.js';
import { alikeTo, type Alike } from '../alike.js';
import { filmKnown } from '../apply/films.js';
import { reader } from '../checks.js';
import { say } from '../findings.js';
import { sceneOf, type Moment } from '../moment.js';
import { priorsAt, publishedPriors } from '../learning.js';
import type { SiteState } from '../state.js';

type Reviewed = LedgerEvent<'film.reviewed'>['data'];

export interface CausesQuestion {
  readonly signs: Reviewed['signs'];
  readonly notSeen?: readonly string[];
  readonly extent?: Reviewed['extent'];
  /** The film, where it is on record: its own exposure and run speak. */
  readonly film?: string | undefined;
  readonly line?: string | undefined;
  readonly tube?: string | undefined;
  /** What a person answered to clues. */
  readonly clues?: Readonly<Record<string, boolean>>;
}

/** A piece of evidence for or against a cause. */
export interface Weighed {
  readonly clue?: string;
  readonly from: 'record' | 'answer';
  /** Of the odds: above 1 for it. */
  readonly ratio: number;
  readonly text: string;
}

export interface RankedCause {
  readonly cause: DefectCause;
  /** That it is at work, as published and as learned here since: `cause.prior` is the published one. */
  readonly prior: number;
  readonly probability: number;
  /** By signs and shares alone, without the evidence. */
  readonly before: number;
  readonly evidence: readonly Weighed[];
  /** What mends it, with the numbers of this film. */
  readonly act: string;
}

export interface CausesAnswer {
  /** Those that can make one of the signs, most likely first. */
  readonly causes: readonly RankedCause[];
  /** Names for several causes: that any of them is at work. */
  readonly groups: readonly {
    readonly cause: DefectCause;
    readonly probability: number;
    readonly of: readonly string[];
  }[];
  readonly unknown: number;
  /** What to look at first: most bits for a minute, in the order that the knowledge asks for. */
  readonly first: readonly FirstTest[];
  /** Signs that no film can show together. */
  readonly contradictions: readonly (readonly [string, string])[];
  /** What the films of the last days that show the same have in common; absent: none are on record. */
  readonly alike?: Alike;
}

export interface FirstTest {
  readonly say: string;
  readonly minutes: number;
  readonly bits: number;
  /** The causes that it tells of. */
  readonly of: readonly string[];
}

/** The state must stand at `at`; it is not changed. */
export function causesAt(
  state: SiteState,
  at: number,
  book: PackBook,
  question: CausesQuestion,
): Answer<CausesAnswer> | undefined {
  const moment = lookedAt(state, at, book, question);
  return moment && rankCauses(moment, question);
}

/** The same at a moment whose event is the review of the film. */
export function rankCauses(
  moment: Moment,
  question: Omit<CausesQuestion, 'film' | 'line' | 'tube'>,
): Answer<CausesAnswer> {
  const knowledge = moment.rules.defects;
  const priors = priorsAt(knowledge, moment.state.learned, moment.state.at);
  const model = modelled(knowledge, priors);
  const evidence = evidenceOf(moment, knowledge, question);
  const odds = new Map(
    [...evidence].map(([id, list]) => [id, list.reduce((product, { ratio }) => product * ratio, 1)]),
  );
  const { signs: seen, notSeen } = question;
  const found = inferCauses(model, { seen, notSeen, odds: tempered(odds) });
  const plain = inferCauses(model, { seen, notSeen });
  if (isRefusal(found)) return found;
  if (isRefusal(plain)) return plain;
  const before = new Map(plain.causes.map(({ id, probability }) => [id, probability]));
  const makers = new Set(model.flatMap(({ id, signs }) => (seen.some((sign) => signs.has(sign)) ? [id] : [])));
  const causes = found.causes.flatMap(({ id, probability }): RankedCause[] => {
    const cause = knowledge.causes.get(id);
    if (cause === undefined || !makers.has(id)) return [];
    return [
      {
        cause,
        prior: priors.get(id) ?? cause.prior,
        probability,
        before: before.get(id) ?? 0,
        evidence: evidence.get(id) ?? [],
        act: say(cause.act, moment, [], {}),
      },
    ];
  });
  const alike = moment.alike?.();
  return {
    ...(alike !== undefined && alike.films > 0 && { alike }),
    causes,
    groups: groupsOf(knowledge, causes),
    unknown: found.unknown,
    first: firstTests(causes),
    contradictions: contradictionsIn(knowledge, seen),
  };
}

/** The moment of a review with what its signs come from, for whoever asks. */
export function withCauses(moment: Moment): Moment {
  const { event } = moment;
  if (event?.type !== 'film.reviewed') return moment;
  const { signs, extent } = event.data;
  let ranked: CausesAnswer | undefined | null = null;
  const seen = withAlike(moment, event);
  return {
    ...seen,
    ranked: () => {
      if (ranked !== null) return ranked;
      // More signs than the model takes: the first ones, as they were written down.
      const found = rankCauses(seen, { signs: signs.slice(0, mostSigns), ...(extent && { extent }) });
      return (ranked = isRefusal(found) ? undefined : found);
    },
  };
}

function withAlike(moment: Moment, event: LedgerEvent<'film.reviewed'>): Moment {
  let found: Alike | undefined;
  return { ...moment, alike: () => (found ??= alikeTo(moment.state, event)) };
}

const models = new WeakMap<Knowledge, readonly ModelledCause[]>();

function modelled(knowledge: Knowledge, priors: ReadonlyMap<string, number>): readonly ModelledCause[] {
  let model = models.get(knowledge);
  if (model === undefined) models.set(knowledge, (model = modelOf(knowledge)));
  if (priors === publishedPriors(knowledge)) return model;
  return model.map((cause) => ({ ...cause, prior: priors.get(cause.id) ?? cause.prior }));
}

/** The film on the viewbox: the line that developed it and the unit that exposed it are those on record, else those named. */
function lookedAt(state: SiteState, at: number, book: PackBook, question: CausesQuestion): Moment | undefined {
  const { site } = state;
  if (site === null) return undefined;
  const { signs, extent, film: id } = question;
  const event: LedgerEvent<'film.reviewed'> = {
    ...{ type: 'film.reviewed', source: 'question', id: 'question', site: state.id, at, rank: 0 },
    data: { ...(id === undefined ? {} : { film: id }), signs: [...signs], ...(extent && { extent }) },
  };
  const film = id === undefined ? undefined : filmKnown(state, id);
  const line = state.lines[film?.line ?? question.line ?? ''];
  const tube = state.tubes[film?.tube ?? question.tube ?? ''];
  const rules = book.at(at, site);
  return withAlike({ at, state, site, rules, event, line, tube, scene: sceneOf(line), relied: new Map() }, event);
}

/** What the record and the person's answers say of each cause. What is not known is no evidence. */
function evidenceOf(
  moment: Moment,
  { causes, clues }: Knowledge,
  { clues: answers = {} }: CausesQuestion,
): Map<string, Weighed[]> {
  const found = new Map<string, Weighed[]>();
  const read = reader(moment, new Map());
  // Once for each cause, however many of its names the clue has; what changes nothing is no evidence.
  const weigh = (ids: readonly string[], one: Weighed) => {
    if (one.ratio === 1) return;
    for (const member of new Set(ids.flatMap((id) => membersOf(causes, id))))
      found.set(member, [...(found.get(member) ?? []), one]);
  };
  for (const clue of clues.values()) {
    const answer = Object.hasOwn(answers, clue.id) ? answers[clue.id] : undefined;
    const recorded = clue.when === undefined ? undefined : compileCondition(clue.when).evaluate(read);
    // Who has looked knows better than the record.
    const yes = answer ?? recorded;
    if (yes === undefined) continue;
    const ratio = yes ? clue.ratio : clue.otherwise;
    const text =
      answer === undefined && yes && clue.say !== undefined
        ? say(clue.say, moment, [], {})
        : `${yes ? 'Yes' : 'No'}: ${clue.ask}`;
    const one = { clue: clue.id, from: answer === undefined ? 'record' : 'answer', text } as const;
    weigh(clue.supports, { ...one, ratio });
    // That it is not so clears nothing that it would have spoken against.
    if (yes) weigh(clue.against, { ...one, ratio: 1 / ratio });
  }
  for (const { id, evidence } of causes.values())
    for (const { when, ratio, say: text } of evidence)
      if (compileCondition(when).evaluate(read) === true)
        weigh([id], { from: 'record', ratio, text: say(text, moment, [], {}) });
  return found;
}

/**
 * Pieces of evidence overlap: temperature, strip and age of a bath speak of one thing. So their product is tempered, and
 * however many agree, it ends somewhere. Chosen on simulated records other than those of the test; see docs/causes.md.
 */
const overlap = { temper: 0.6, farthest: 200 } as const;
const tempered = (odds: ReadonlyMap<string, number>) =>
  new Map(
    [...odds].map(([id, factor]) => {
      const own = factor ** overlap.temper;
      return [id, Math.min(overlap.farthest, Math.max(1 / overlap.farthest, own))];
    }),
  );

function groupsOf({ causes: known }: Knowledge, ranked: readonly RankedCause[]): CausesAnswer['groups'] {
  const probability = new Map(ranked.map(({ cause, probability: own }) => [cause.id, own]));
  return [...known.values()]
    .filter(({ of = [] }) => of.length > 0)
    .map((cause) => {
      const of = membersOf(known, cause.id).filter((id) => probability.has(id));
      // Not any of them, as if each were at work by itself: between rivals for one sign it is a little too low.
      const none = of.reduce((product, id) => product * (1 - (probability.get(id) ?? 0)), 1);
      return { cause, of, probability: 1 - none };
    })
    .filter(({ of }) => of.length > 1)
    .sort((a, b) => b.probability - a.probability);
}

/** Causes so unlikely that nobody looks for them first. */
const negligible = 0.02;

function firstTests(ranked: readonly RankedCause[]): FirstTest[] {
  const leading = ranked.filter(({ probability }) => probability >= negligible);
  const tests = new Map<string, RankedCause[]>();
  for (const one of leading) {
    const { test } = one.cause;
    if (test !== undefined) tests.set(test.say, [...(tests.get(test.say) ?? []), one]);
  }
  const told = [...tests].map(([text, of]): FirstTest => {
    const none = of.reduce((product, { probability }) => product * (1 - probability), 1);
    const minutes = of[0]?.cause.test?.minutes ?? 1;
    return { say: text, minutes, bits: informationOf(1 - none), of: of.map(({ cause }) => cause.id) };
  });
  const sorted = told.sort((a, b) => b.bits / b.minutes - a.bits / a.minutes || (a.say < b.say ? -1 : 1));
  return inOrder(sorted, new Map(leading.map(({ cause }) => [cause.id, cause.after ?? []])));
}

/** Where the knowledge says what is looked at before what, that goes before minutes. */
function inOrder(tests: readonly FirstTest[], after: ReadonlyMap<string, readonly string[]>): FirstTest[] {
  const done: FirstTest[] = [];
  const take = (test: FirstTest, waiting: readonly FirstTest[]) => {
    if (done.includes(test) || waiting.includes(test)) return;
    const before = test.of.flatMap((id) => after.get(id) ?? []);
    for (const other of tests) if (other.of.some((id) => before.includes(id))) take(other, [...waiting, test]);
    done.push(test);
  };
  for (const test of tests) take(test, []);
  return done;
}

function contradictionsIn({ signs }: Knowledge, seen: readonly string[]): [string, string][] {
  return seen.flatMap((sign, index) =>
    seen
      .slice(index + 1)
      .filter((other) =>
        [signs.get(sign)?.excludes?.includes(other), signs.get(other)?.excludes?.includes(sign)].includes(true),
      )
      .map((other): [string, string] => [sign, other]),
  );
}
