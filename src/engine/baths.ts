import type { PackBook, Said } from '../packs/book.js';
import { measures } from '../packs/measures.js';
import type { Layer, Limit } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import { reachOf, type Reach } from '../radiography/development/use.js';
import { isRefusal } from '../refusal.js';
import { dueAfter } from './calendar.js';
import { fillAge } from './facts/baths.js';
import { rungsOf } from './ladder.js';
import { sceneOf, type Moment } from './moment.js';
import type { BathState, DayUse, LineState, SiteState } from './state.js';
import { measureAt } from './trends/measure.js';
import { sayDayFrom, sayFact, sayPeriod } from './words.js';

/** What is known of one bath: how old it is, what went through it, and when it will reach each limit in force. Areas in mm2. */
export interface BathView {
  readonly line: string;
  readonly bath: BathName;
  /** Absent: no change is on record, and nothing is known since. */
  readonly since?: number;
  readonly kind?: string;
  readonly product?: string;
  /** Calendar days. */
  readonly age?: number;
  /** Since the change: films, the area of those whose size is known, and how many are of none known. */
  readonly films?: number;
  readonly area?: number;
  readonly unsized?: number;
  /** The line's use for a calendar day, and over how many of the latest; absent: too few. */
  readonly rate?: { readonly films: number; readonly area: number; readonly days: number };
  /** Soonest first. */
  readonly reaches: readonly Reached[];
}

export type BathName = (typeof bathNames)[number];
const bathNames = ['developer', 'fixer'] as const;

/** How a bath comes to its limit: at an instant (age), or after so many days with an interval (use, drift). */
export interface Reached extends Reach {
  readonly by: 'age' | 'films' | 'area' | 'drift';
  readonly limit: string;
  /** Absent for a drift, whose limit may be of several. */
  readonly pack?: string;
  readonly authority?: string;
  readonly layer?: Layer;
  /** ms; of an age. */
  readonly due?: number;
  readonly text: string;
}

const day = 86_400_000;

/** Developer and fixer of every line in use. The state must stand at `at` (see `advance`). */
export function bathsAt(state: SiteState, at: number, book: PackBook): BathView[] {
  const { site } = state;
  if (site === null) return [];
  const rules = book.at(at, site);
  return Object.values(state.lines)
    .filter(({ config }) => config.ended !== true)
    .flatMap((line) =>
      bathNames.flatMap((bath) => {
        const own = line.baths[bath];
        if (own === undefined) return [];
        const scene = sceneOf(line, bath);
        const base = { at, state, site, rules, line, scene, relied: new Map() };
        return view({ ...base, bath: { name: bath, state: own } }, line, bath, own, book);
      }),
    );
}

function view(moment: Moment, line: LineState, bath: BathName, own: BathState, book: PackBook): BathView {
  const head = { line: line.id, bath };
  const { fill, films, area, unsized } = own;
  if (fill === null) return { ...head, reaches: [] };
  const daily = dailyUse(moment, line);
  const sum = (key: 'films' | 'area') => daily.reduce((all, each) => all + each[key], 0) / daily.length;
  const reaches = [...byAge(moment, bath), ...byUse(moment, bath, daily), ...byDrift(moment, bath, book)];
  return {
    ...head,
    ...{ since: fill.ref.at, kind: fill.kind, product: fill.product, age: fillAge(moment, bath), films, area, unsized },
    rate: daily.length === 0 ? undefined : { films: sum('films'), area: sum('area'), days: daily.length },
    reaches: reaches.sort((a, b) => a.days - b.days),
  };
}

/** How far back a rate of use looks, days: four weeks, so that every weekday is in it as often as the others. Our choice. */
const window = 28;

/** Use of each of the latest finished days, those without films as nothing; from the first on record. */
function dailyUse({ state }: Moment, { used }: LineState): Pick<DayUse, 'films' | 'area'>[] {
  const known = new Map(used.map((each) => [each.date, each]));
  const dates = Array.from({ length: window }, (_, back) => dateBefore(state.day.date, window - back));
  // Before its first films a line may not have been there at all.
  const first = used[0]?.date ?? state.day.date;
  return dates.filter((date) => date >= first).map((date) => known.get(date) ?? { films: 0, area: 0 });
}

const dateBefore = (date: string, days: number) =>
  new Date(Date.parse(`${date}T00:00:00Z`) - days * day).toISOString().slice(0, 10);

/** The limits in force here that bound any of these facts from above. */
function limitsOf({ rules, scene }: Moment, of: readonly string[]): Said<Limit>[] {
  return [...rules.limits.values()].flat().filter((limit) => of.includes(limit.of) && speaks(limit, scene));
}

const speaks = (limit: Limit, scene: Moment['scene']) => limit.max !== undefined && selects(limit.for, scene);

const told = ({ id, pack }: Said<Limit>) => ({
  limit: id,
  pack: pack.id,
  authority: pack.authority,
  layer: pack.layer,
});

function byAge(moment: Moment, bath: BathName): Reached[] {
  const since = moment.bath?.state.fill?.ref.at;
  if (since === undefined) return [];
  return limitsOf(moment, ['chemistry.age', `${bath}.age`]).flatMap((limit): Reached[] => {
    const period = limit.max?.kind === 'period' ? limit.max.period : undefined;
    if (period === undefined) return [];
    const due = dueAfter(since, period, moment.site.zone);
    const days = Math.max(0, (due - moment.at) / day);
    const last = sayDayFrom(due - 1, moment.at, moment.site.zone);
    const text = `Age limit ${sayPeriod(period)}: its last day ${due <= moment.at ? 'was' : 'is'} ${last}.`;
    return [{ by: 'age', ...told(limit), due, days, earliest: days, latest: days, text }];
  });
}

function byUse(moment: Moment, bath: BathName, daily: readonly Pick<DayUse, 'films' | 'area'>[]): Reached[] {
  return (['films', 'area'] as const).flatMap((by) => {
    const fact = `${bath}.${by}`;
    return limitsOf(moment, [fact]).flatMap((limit) =>
      rungsOf(moment, limit).flatMap(({ side, bound, text }): Reached[] => {
        if (side !== 'max' || bound === undefined) return [];
        const left = bound - (moment.bath?.state[by] ?? 0);
        const reach = reachOf(
          left,
          daily.map((each) => each[by]),
        );
        if (isRefusal(reach)) return [];
        const most = by === 'films' ? `${text} films` : (sayFact(fact, bound, moment.site.zone) ?? text);
        return [{ by, ...told(limit), ...reach, text: sayReach(`${most} processed`, reach) }];
      }),
    );
  });
}

function byDrift(moment: Moment, bath: BathName, book: PackBook): Reached[] {
  return [...measures.values()]
    .filter((measure) => measure.bath === bath)
    .flatMap(({ fact, title }) =>
      (measureAt(moment.state, fact, moment.at, book) ?? []).flatMap(({ line, forecast }): Reached[] => {
        if (line !== moment.line?.id || forecast === undefined) return [];
        const { limit, ...reach } = forecast;
        return [{ by: 'drift', limit, ...reach, text: sayReach(`${title}: its limit reached`, reach) }];
      }),
    );
}

/** "3000 films processed in about 6 days, between 4 and 9." */
function sayReach(what: string, { days, earliest, latest }: Reach): string {
  if (days <= 0) return `${what} already.`;
  const about = Math.round(days);
  const [low, high] = [Math.floor(earliest), latest === undefined ? undefined : Math.ceil(latest)];
  const range = high === undefined ? `${low} at the earliest` : `between ${low} and ${high}`;
  return `${what} in about ${about} ${about === 1 ? 'day' : 'days'}, ${range}.`;
}
