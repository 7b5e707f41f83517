import type { PackBook, RuleSet } from '../packs/book.js';
import type { Knowledge } from '../packs/defects.js';
import { decayed, moved } from '../radiography/defects/learning.js';
import type { Finding } from './finding.js';
import { caps, type Learned, type Lesson, type SiteState } from './state.js';

const day = 86_400_000;

/**
 * What a person found of a film: the cause that is confirmed counts once for the finding, however many films it speaks of.
 * Said otherwise later, it counts for that instead; taken back (its event retracted), a replay has never heard of it.
 * Words that are no cause of the packs teach nothing.
 */
export function learn(state: SiteState, rules: RuleSet, finding: Finding, at: number): void {
  if (finding.asked === undefined) return;
  const { causes } = rules.defects;
  const cause = causes.get(finding.rootCause ?? '');
  const own = cause !== undefined && cause.prior > 0 ? cause.id : undefined;
  if (own === finding.taught?.cause) return;
  const before = priorsAt(rules.defects, state.learned, at);
  const weights = weightsAt(state.learned, at);
  if (finding.taught !== undefined) {
    const { cause: old, at: then } = finding.taught;
    const left = (weights.get(old) ?? 0) - decayed(1, (at - then) / day);
    if (left > 1e-9) weights.set(old, left);
    else weights.delete(old);
    delete finding.taught;
  }
  const lessons = (state.learned?.lessons ?? []).filter((lesson) => lesson.finding !== finding.id);
  if (own !== undefined) {
    weights.set(own, (weights.get(own) ?? 0) + 1);
    finding.taught = { cause: own, at };
  }
  const learned: Learned = {
    at,
    weights: Object.fromEntries([...weights].sort(([a], [b]) => (a < b ? -1 : 1))),
    lessons,
  };
  if (own !== undefined) {
    const after = priorsAt(rules.defects, learned, at).get(own) ?? 0;
    learned.lessons = [...lessons, { at, finding: finding.id, cause: own, before: before.get(own) ?? 0, after }].slice(
      -caps.lessons,
    );
  }
  if (weights.size === 0) delete state.learned;
  else state.learned = learned;
}

/** Weights of what was confirmed, by cause, as of an instant. */
export function weightsAt(learned: Learned | undefined, at: number): Map<string, number> {
  if (learned === undefined) return new Map();
  return new Map(
    Object.entries(learned.weights).map(([cause, weight]) => [cause, decayed(weight, (at - learned.at) / day)]),
  );
}

const published = new WeakMap<Knowledge, ReadonlyMap<string, number>>();

/** As published, by cause: causes without a prior of their own are left out. */
export function publishedPriors(knowledge: Knowledge): ReadonlyMap<string, number> {
  let priors = published.get(knowledge);
  if (priors === undefined) {
    const own = [...knowledge.causes.values()].filter(({ prior }) => prior > 0);
    published.set(knowledge, (priors = new Map(own.map(({ id, prior }) => [id, prior]))));
  }
  return priors;
}

/** Published priors moved by what the group confirmed, and those by what the site did. */
export function priorsAt(knowledge: Knowledge, learned: Learned | undefined, at: number): ReadonlyMap<string, number> {
  return moved(moved(publishedPriors(knowledge), knowledge.group), weightsAt(learned, at));
}

export interface LearnedCause {
  readonly cause: string;
  readonly title: string;
  /** Weights of what was confirmed at the site and in its group. */
  readonly site: number;
  readonly group: number;
  /** Probabilities. */
  readonly published: number;
  readonly now: number;
}

export interface LearnedView {
  /** Causes that were confirmed, the weightiest first. */
  readonly causes: readonly LearnedCause[];
  /** The latest that were confirmed at the site, newest first. */
  readonly lessons: readonly Lesson[];
}

/** What a site and its group have learned by an instant at which the state stands; undefined where the site is not set up. */
export function learnedAt(state: SiteState, at: number, book: PackBook): LearnedView | undefined {
  if (state.site === null) return undefined;
  const { defects } = book.at(at, state.site);
  const own = weightsAt(state.learned, at);
  const now = priorsAt(defects, state.learned, at);
  const causes = [...publishedPriors(defects)].flatMap(([cause, published]): LearnedCause[] => {
    const [site, group] = [own.get(cause) ?? 0, defects.group.get(cause) ?? 0];
    if (site === 0 && group === 0) return [];
    const title = defects.causes.get(cause)?.title ?? cause;
    return [{ cause, title, site, group, published, now: now.get(cause) ?? published }];
  });
  causes.sort((a, b) => b.site + b.group - (a.site + a.group) || (a.cause < b.cause ? -1 : 1));
  return { causes, lessons: [...(state.learned?.lessons ?? [])].reverse() };
}
