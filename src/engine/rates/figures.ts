import { datePlus } from '../../local-day.js';
import type { Rate } from '../../packs/model.js';
import { isRefusal } from '../../refusal.js';
import { chanceOfAtLeast } from '../../statistics/binomial.js';
import { fisherGreater } from '../../statistics/fisher.js';
import { wilson } from '../../statistics/wilson.js';
import type { CountedDay, SiteState, Tally } from '../state.js';

/** One stratum of a rate over its window: what its facts `rate.*` are read from. Shares in percent. */
export interface RateFigures {
  /** Absent where nobody grades films. */
  readonly films?: number;
  readonly exposures?: number;
  readonly share?: number;
  readonly low?: number;
  readonly high?: number;
  readonly expected?: number;
  /** One-sided, times the number of strata compared, at most 1. */
  readonly chance?: number;
  readonly apart: boolean;
}

export interface Stratum {
  /** Of a unit its id, of a person the staff code; of the site nothing. */
  readonly id: string;
  readonly figures: RateFigures;
}

/**
 * The strata of a rate over the site-days that end with the current one. Below the least number of exposures a
 * stratum has counts and no share: its rate is not evaluable. Nor is one of rejects where no film was graded at all.
 */
export function strataOf(state: SiteState, rate: Rate): Stratum[] {
  const first = datePlus(state.day.date, 1 - rate.days);
  const days = state.counts.filter(({ date }) => date >= first && date <= state.day.date);
  const isLooked = rate.of === 'retakes' || days.some(({ reviewed, tallied }) => reviewed ?? tallied !== undefined);
  if (!isLooked) return rate.per === 'site' ? [{ id: '', figures: { apart: true } }] : [];
  if (rate.per === 'site') return [{ id: '', figures: figures(rate, whole(days, rate.of), undefined, 1, true) }];
  const place = rate.per === 'tube' ? 0 : 1;
  const cells = cellsOf(days);
  const all = sum([...cells.values()]);
  const ids = [...new Set([...cells.keys()].map((cell) => cell.split('|')[place] ?? ''))]
    .filter((id) => id !== '')
    .sort();
  const tallies = ids.map((id) => sum(pick(cells, place, id)));
  const compared = tallies.filter(({ exposures }) => exposures >= rate.atLeast).length;
  return ids.map((id, index) => {
    const own = tallies[index] ?? none;
    const isApart = rate.per === 'tube' || apart(cells, id);
    return { id, figures: figures(rate, own, less(all, own), compared, isApart) };
  });
}

const none: Tally = { exposures: 0, retakes: 0, rejects: 0 };

/** Of the whole site: a day that was tallied counts as it was tallied, or its films would count twice. */
function whole(days: readonly CountedDay[], of: Rate['of']): Tally {
  return sum(
    days.flatMap(({ cells, tallied }) =>
      // A tally says nothing of retakes.
      tallied !== undefined && of === 'rejects' ? [{ ...tallied, retakes: 0 }] : Object.values(cells),
    ),
  );
}

function cellsOf(days: readonly CountedDay[]): Map<string, Tally> {
  const cells = new Map<string, Tally>();
  for (const day of days)
    for (const [cell, tally] of Object.entries(day.cells)) cells.set(cell, add(cells.get(cell) ?? none, tally));
  return cells;
}

function pick(cells: ReadonlyMap<string, Tally>, place: number, id: string): Tally[] {
  return [...cells].filter(([cell]) => cell.split('|')[place] === id).map(([, tally]) => tally);
}

/** Whether a person's films and a unit's are not nearly the same films. */
function apart(cells: ReadonlyMap<string, Tally>, who: string): boolean {
  const own = sum(pick(cells, 1, who)).exposures;
  const tubes = [...new Set([...cells.keys()].map((cell) => cell.split('|')[0] ?? ''))];
  return !tubes.some((tube) => {
    const together = sum(pick(new Map([...cells].filter(([cell]) => cell.startsWith(`${tube}|`))), 1, who)).exposures;
    const ofTube = sum(pick(cells, 0, tube)).exposures;
    return together >= nearly * own && together >= nearly * ofTube;
  });
}
/** Above this share of both, a person and a unit are one and the same to the counts. Our choice. */
const nearly = 0.9;

function figures(rate: Rate, own: Tally, rest: Tally | undefined, compared: number, isApart: boolean): RateFigures {
  const { exposures } = own;
  const films = own[rate.of];
  const counts = { films, exposures, apart: isApart };
  // Two retakes of one exposure can outnumber the exposures of a day, never those of a window that means anything.
  if (exposures < rate.atLeast || films > exposures) return counts;
  const interval = wilson(films, exposures);
  const share = (100 * films) / exposures;
  const told = isRefusal(interval)
    ? { ...counts, share }
    : { ...counts, share, low: 100 * interval.low, high: 100 * interval.high };
  const held = heldAgainst(rate, films, exposures, rest);
  return held === undefined ? told : { ...told, ...held, chance: Math.min(1, held.chance * Math.max(1, compared)) };
}

function heldAgainst(rate: Rate, films: number, exposures: number, rest: Tally | undefined) {
  if (rate.against !== 'rest') {
    const chance = chanceOfAtLeast(films, exposures, rate.against / 100);
    return isRefusal(chance) ? undefined : { expected: rate.against, chance };
  }
  if (rest === undefined || rest.exposures < rate.atLeast) return undefined;
  const others = rest[rate.of];
  const chance = fisherGreater(films, exposures, others, rest.exposures);
  return isRefusal(chance) ? undefined : { expected: (100 * others) / rest.exposures, chance };
}

const add = (a: Tally, b: Tally): Tally => ({
  exposures: a.exposures + b.exposures,
  retakes: a.retakes + b.retakes,
  rejects: a.rejects + b.rejects,
});
const less = (a: Tally, b: Tally): Tally => ({
  exposures: a.exposures - b.exposures,
  retakes: a.retakes - b.retakes,
  rejects: a.rejects - b.rejects,
});
const sum = (tallies: readonly Tally[]): Tally => tallies.reduce(add, none);
