import { refuse, type Answer } from '../../refusal.js';

/** A cause as the model sees it. Probabilities. */
export interface ModelledCause {
  readonly id: string;
  /** That it is at work on a film that was not acceptable. */
  readonly prior: number;
  /** How likely it makes each sign, alone; a sign that is not there it does not make. */
  readonly signs: ReadonlyMap<string, number>;
}

/** What was seen of a film. Signs of neither list were not spoken of. */
export interface Seen {
  readonly seen: readonly string[];
  /** Looked for and not there. */
  readonly notSeen?: readonly string[];
  /** Odds of a cause by other evidence, as a factor; 1 where none is given. */
  readonly odds?: ReadonlyMap<string, number>;
}

export interface Ranked {
  readonly id: string;
  /** That it is at work, whatever else is. They need not sum to 1: two causes may be at work. */
  readonly probability: number;
}

export interface Inferred {
  /** Most likely first; of equals by name. */
  readonly causes: readonly Ranked[];
  /** That none of the causes that could make one of the signs is at work: they come from something that nobody lists. */
  readonly unknown: number;
}

/** What the model supposes besides causes and signs. Ours; docs/causes.md says why. */
export const suppositions = {
  /** A sign that no cause makes: something that nobody lists. */
  leak: 0.0005,
  /** A sign that is there is written down by whoever looks. */
  reported: 0.7,
} as const;

/** More signs at once than that are not reckoned with: the sets of them double with each. */
export const mostSigns = 8;

/**
 * Noisy-OR: every cause that is at work makes each of its signs or not, by itself; a sign is there if any cause made it, or
 * the leak. Causes are at work independently. A sign that was not spoken of counts as absent as far as people write down
 * what they see.
 *
 * Exact: sets of the seen signs are summed over with positive terms only, so nothing cancels.
 */
export function inferCauses(causes: readonly ModelledCause[], { seen, notSeen = [], odds }: Seen): Answer<Inferred> {
  const wrong = unfitFor(causes, seen, notSeen, odds);
  if (wrong !== undefined) return wrong;
  const all = (1 << seen.length) - 1;
  const modelled = causes.map((cause) => {
    const prior = withOdds(cause.prior, odds?.get(cause.id) ?? 1);
    return { id: cause.id, prior, quiet: quietOf(cause, seen, notSeen), made: madeBy(cause, seen) };
  });
  const leaks = madeBy({ id: '', prior: 1, signs: new Map(seen.map((sign) => [sign, suppositions.leak])) }, seen);
  // What cannot make any of the seen signs only makes the silence of the others likelier or less: one factor for all.
  const makers = modelled.filter(({ made }) => made.length > 1);
  const others = modelled.filter(({ made }) => made.length <= 1);
  const [total, active] = chancesOf(makers, leaks, all);
  const absent = makers.reduce((product, { prior }) => product * (1 - prior), leaks[all] ?? 0);
  const ranked = [
    ...makers.map(({ id }, index): Ranked => ({ id, probability: (active[index] ?? 0) / total })),
    ...others.map(({ id, prior, quiet }): Ranked => ({
      id,
      probability: (prior * quiet) / (1 - prior + prior * quiet),
    })),
  ];
  return {
    causes: ranked.sort((a, b) => b.probability - a.probability || (a.id < b.id ? -1 : 1)),
    unknown: absent / total,
  };
}

interface Maker {
  readonly prior: number;
  /** Chance that it makes none of the signs that are not there. */
  readonly quiet: number;
  /** Chance that it makes exactly each set of the seen signs, by bits; short where it makes none of them. */
  readonly made: readonly number[];
}

/**
 * Chance that every seen sign is made, and the same with each cause at work. What the causes before one make and what those
 * after it make is kept, so that the work grows with the number of causes and not with its square.
 */
function chancesOf(
  makers: readonly Maker[],
  leaks: readonly number[],
  all: number,
): readonly [number, readonly number[]] {
  const before = [leaks];
  for (const maker of makers) before.push(joined(before.at(-1) ?? leaks, maker, all));
  // Chance that the causes after one make at least each set.
  let after: readonly number[] = [1, ...Array<number>(all).fill(0)];
  const active = Array<number>(makers.length).fill(0);
  for (let index = makers.length - 1; index >= 0; index--) {
    const maker = makers[index] as Maker;
    const least = atLeastEach(after, all);
    const sets = before[index] ?? leaks;
    let chance = 0;
    for (let made = 0; made <= all; made++) {
      const own = maker.made[made] ?? 0;
      if (own === 0) continue;
      for (let set = 0; set <= all; set++) chance += (sets[set] ?? 0) * own * (least[all & ~(set | made)] ?? 0);
    }
    active[index] = chance * maker.prior * maker.quiet;
    after = joined(after, maker, all);
  }
  return [before.at(-1)?.[all] ?? 0, active];
}

/** Chances of exactly each set once another cause may be at work too. */
function joined(sets: readonly number[], { prior, quiet, made: own }: Maker, all: number): number[] {
  const next = sets.map((chance) => chance * (1 - prior));
  for (let made = 0; made <= all; made++) {
    const chance = (own[made] ?? 0) * prior * quiet;
    if (chance === 0) continue;
    for (let set = 0; set <= all; set++) next[set | made] = (next[set | made] ?? 0) + (sets[set] ?? 0) * chance;
  }
  return next;
}

/** From chances of exactly each set those of at least each. */
function atLeastEach(exactly: readonly number[], all: number): number[] {
  const sums = [...exactly];
  for (let bit = 1; bit <= all; bit <<= 1)
    for (let set = 0; set <= all; set++) if ((set & bit) === 0) sums[set] = (sums[set] ?? 0) + (sums[set | bit] ?? 0);
  return sums;
}

/** Chances of exactly each set of the seen signs. */
function madeBy({ signs }: ModelledCause, seen: readonly string[]): number[] {
  if (!seen.some((sign) => (signs.get(sign) ?? 0) > 0)) return [1];
  let sets = [1];
  for (const sign of seen) {
    const chance = signs.get(sign) ?? 0;
    sets = [...sets.map((each) => each * (1 - chance)), ...sets.map((each) => each * chance)];
  }
  return sets;
}

function quietOf({ signs }: ModelledCause, seen: readonly string[], notSeen: readonly string[]): number {
  let chance = 1;
  for (const [sign, made] of signs) {
    if (notSeen.includes(sign)) chance *= 1 - made;
    else if (!seen.includes(sign)) chance *= 1 - suppositions.reported * made;
  }
  return chance;
}

const withOdds = (prior: number, factor: number) => (prior * factor) / (1 - prior + prior * factor);

function unfitFor(
  causes: readonly ModelledCause[],
  seen: readonly string[],
  notSeen: readonly string[],
  odds: Seen['odds'],
) {
  if (seen.length === 0) return refuse('too-few', 'seen', 'Without a sign there is nothing to explain.');
  if (seen.length > mostSigns)
    return refuse('too-many', 'seen', `${seen.length} signs at once; ${mostSigns} are the most. Name the plainest.`);
  const both = seen.find((sign) => notSeen.includes(sign));
  if (both !== undefined) return refuse('contradiction', 'notSeen', `${both} is said to be there and not to be there.`);
  if (new Set(seen).size < seen.length) return refuse('repeated', 'seen', 'A sign stands twice.');
  for (const { id, prior, signs } of causes)
    for (const value of [prior, ...signs.values()])
      if (!(value >= 0 && value < 1)) return refuse('out-of-range', id, `${id}: ${value} is no probability below 1.`);
  for (const [id, factor] of odds ?? [])
    if (!(factor > 0 && factor < 1e9)) return refuse('out-of-range', id, `${id}: ${factor} is no factor of odds.`);
  return undefined;
}
