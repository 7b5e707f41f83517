import type { LedgerEvent } from '../events/event.js';
import { isRefusal } from '../refusal.js';
import { differenceOf } from '../statistics/difference.js';
import { fisherGreater } from '../statistics/fisher.js';
import { runKnown } from './apply/films.js';
import type { FilmState, SiteState } from './state.js';

/** What films may have in common. `person` exposed them, `hands` developed them. */
export const kinships = ['unit', 'person', 'hands', 'lot', 'line', 'hour'] as const;
export type Kinship = (typeof kinships)[number];

/** How many of the films with the sign have the commonest value in common, against the others on record. */
export interface Common {
  readonly kinship: Kinship;
  readonly value: string;
  readonly count: number;
  readonly total: number;
  readonly otherCount: number;
  readonly otherTotal: number;
  /** How often chance alone gives the films with the sign at least so many: Fisher's exact test, one-sided. */
  readonly chance: number;
  /** Of the difference of the two shares, 95 %. */
  readonly interval?: readonly [number, number];
  /** What goes with it film by film, so that these films cannot tell the two apart. */
  readonly inseparableFrom: readonly Kinship[];
}

/** The films of the last days that show one of the signs, against those that do not. */
export interface Alike {
  readonly films: number;
  readonly others: number;
  /** How many different ones, of those that are known. */
  readonly distinct: Readonly<Record<Kinship | 'run', number>>;
  readonly common: readonly Common[];
  /** Of the run of this film: films that show it, and films that were looked at or of which nobody complained. */
  readonly ofRun?: { readonly with: number; readonly without: number };
}

/** Films older than that are of another time, ms; a chance below that is no chance. Our choices. */
export const alikeChoices = { reach: 7 * 86_400_000, surprising: 0.01 } as const;
const hour = 3_600_000;

type Reviewed = LedgerEvent<'film.reviewed'>;

/**
 * A film counts as without the sign if it was looked at and did not show it, or if the day it was made on is over and
 * nobody complained of it; what is not known counts as neither.
 */
export function alikeTo(state: SiteState, event: Reviewed, reach: number = alikeChoices.reach): Alike {
  const { signs, film: id } = event.data;
  const shows = (film: FilmState) => film.signs?.some((sign) => (signs as readonly string[]).includes(sign)) === true;
  const made = (film: FilmState) => film.run?.at ?? film.exposedAt ?? Infinity;
  const recent = state.films.filter((film) => made(film) <= event.at && event.at - made(film) <= reach);
  const bad = recent.filter((film) => shows(film) || film.film === id);
  const good = recent.filter(
    (film) => !bad.includes(film) && (film.signs !== undefined || made(film) < state.day.start),
  );
  const own = bad.find((film) => film.film === id)?.run;
  const inRun = (film: FilmState) => own !== undefined && film.run?.id === own.id && film.run.source === own.source;
  const known = new Map(kinships.map((kinship) => [kinship, valuesOf(state, kinship, [...bad, ...good])]));
  const distinct = (values: readonly (string | undefined)[]) => new Set(values.flatMap((value) => value ?? [])).size;
  return {
    films: bad.length,
    others: good.length,
    distinct: {
      ...(Object.fromEntries(
        kinships.map((kinship) => [kinship, distinct(bad.map((film) => known.get(kinship)?.get(film)))]),
      ) as Record<Kinship, number>),
      run: distinct(bad.map(({ run }) => run && `${run.source}/${run.id}`)),
    },
    common: kinships.flatMap((kinship) => commonOf(kinship, known, bad, good) ?? []),
    ...(own !== undefined && { ofRun: { with: bad.filter(inRun).length, without: good.filter(inRun).length } }),
  };
}

type Values = ReadonlyMap<FilmState, string>;

function valuesOf(state: SiteState, kinship: Kinship, films: readonly FilmState[]): Values {
  const value = (film: FilmState): string | undefined => {
    switch (kinship) {
      case 'unit':
        return film.tube;
      case 'person':
        return film.by;
      case 'hands':
        return film.run && runKnown(state, film.run)?.by;
      case 'lot':
        return film.lot;
      case 'line':
        return film.line;
      case 'hour':
        return film.run && String(Math.floor(film.run.at / hour));
    }
  };
  return new Map(
    films.flatMap((film): [FilmState, string][] => {
      const own = value(film);
      return own === undefined ? [] : [[film, own]];
    }),
  );
}

/** What most of the films with the sign have in common; undefined where fewer than two of them are known to share it. */
function commonOf(
  kinship: Kinship,
  known: ReadonlyMap<Kinship, Values>,
  bad: readonly FilmState[],
  good: readonly FilmState[],
): Common | undefined {
  const values: Values = known.get(kinship) ?? new Map();
  const counts = new Map<string, number>();
  for (const film of bad) {
    const own = values.get(film);
    if (own !== undefined) counts.set(own, (counts.get(own) ?? 0) + 1);
  }
  const [value, count] = [...counts].reduce<[string, number]>(
    (most, one) => (one[1] > most[1] || (one[1] === most[1] && one[0] < most[0]) ? one : most),
    ['', 0],
  );
  if (count < 2) return undefined;
  const told = (films: readonly FilmState[]) => films.filter((film) => values.has(film));
  const having = (films: readonly FilmState[]) => films.filter((film) => values.get(film) === value);
  const [total, otherCount, otherTotal] = [told(bad).length, having(good).length, told(good).length];
  const chance = fisherGreater(count, total, otherCount, otherTotal);
  if (isRefusal(chance)) return undefined;
  const interval = otherTotal === 0 ? undefined : differenceOf(count, total, otherCount, otherTotal);
  const inseparableFrom = kinships.filter(
    (other) => other !== kinship && goTogether(values, value, known.get(other) ?? new Map(), [...bad, ...good]),
  );
  return {
    ...{ kinship, value, count, total, otherCount, otherTotal, chance, inseparableFrom },
    ...(interval !== undefined && !isRefusal(interval) && { interval: [interval.low, interval.high] as const }),
  };
}

/** Whether having the one value is, film by film, having some one value of the other: then nothing here parts the two. */
function goTogether(values: Values, value: string, others: Values, films: readonly FilmState[]): boolean {
  const both = films.filter((film) => values.has(film) && others.has(film));
  const inside = both.filter((film) => values.get(film) === value);
  const [first] = inside;
  const partner = first && others.get(first);
  if (partner === undefined) return false;
  return both.every((film) => (values.get(film) === value) === (others.get(film) === partner));
}
