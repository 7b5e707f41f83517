import type { LedgerEvent } from '../../events/event.js';
import type { PackBook, Said } from '../../packs/book.js';
import { bindingLayers, type Chart, type Citation, type Layer, type Limit } from '../../packs/model.js';
import { selects } from '../../packs/selector.js';
import { fixerLife, fixingTime, type FixerLife, type FixingTime } from '../../radiography/development/fixing.js';
import { standingOf, type Standing } from '../../radiography/development/times.js';
import { isRefusal } from '../../refusal.js';
import { resolve } from '../ladder.js';
import { layerOrder } from '../limits/strictness.js';
import { makersChart } from '../makers-chart.js';
import { momentOf, type Moment } from '../moment.js';
import { silence } from '../no-answer.js';
import type { LineState, SiteState } from '../state.js';

/** Temperatures in Cel, times in s. */
export interface DevelopmentQuestion {
  readonly line: string;
  readonly method: 'manual' | 'automatic' | 'chairside';
  /** Absent: what the line holds. */
  readonly chemistry?: string | undefined;
  readonly temperature: number;
  /** A time to be held against the answer. */
  readonly time?: number | undefined;
  /** Clearing time of the fixer now, and when it was fresh; absent: what is on record. */
  readonly clearing?: number | undefined;
  readonly freshClearing?: number | undefined;
  readonly washTemperature?: number | undefined;
}

/** How long to develop, fix and wash here, and on whose word. */
export interface DevelopmentAnswer {
  readonly chemistry: string | undefined;
  /** s; absent: no chart in force has an answer. */
  readonly time?: number;
  /** The word that answered: of all that have an answer the longest time, of equals the most binding. */
  readonly by?: ChartAnswer;
  /** The longest time that is still no mistake, s, and whose word that is. */
  readonly most?: { readonly time: number; readonly by: ChartAnswer };
  readonly standing?: Standing;
  /** Every chart and bound that was asked, the most binding first. */
  readonly asked: readonly ChartAnswer[];
  /** Those among them of binding words that leave this temperature open. */
  readonly open: readonly ChartAnswer[];
  readonly fixing: Fixing;
  readonly washing: Lasting;
}

/** One chart, or one plain bound, and what it says. */
export interface ChartAnswer extends Word {
  /** Absent: a bound without a chart, or one whose chart is not in force here. */
  readonly chart?: AskedChart;
  /** s, an allowance included. */
  readonly time?: number;
  /** Why it has none. */
  readonly silent?: 'below' | 'above' | 'gap' | 'notInForce' | 'lacks';
}

export interface AskedChart {
  readonly id: string;
  readonly title: string;
  readonly layer: Layer;
  /** The fact it is looked up by, and its first and last row, in the fact's canonical unit. */
  readonly rows: { readonly by: string; readonly from: number; readonly to: number };
}

/** Who says it, and how it stands to a maker's sheet. */
export interface Word {
  readonly pack: string;
  readonly version: string;
  readonly authority: string;
  readonly layer: Layer;
  readonly role?: 'fallback' | 'alternative' | undefined;
  readonly citation: Citation;
}

/** A least time, s, by the words of the packs; absent: none speaks. */
export interface Lasting {
  readonly least?: number;
  readonly by?: ChartAnswer;
}

export interface Fixing extends Lasting {
  /** By the clearing time of the fixer, where that is known: it decides. */
  readonly byClearing?: FixingTime & { readonly clearing: number };
  readonly life?: FixerLife;
}

/** The state must stand at `at`, with the line in it; it is not changed. */
export function developmentAt(
  state: SiteState,
  at: number,
  book: PackBook,
  question: DevelopmentQuestion,
): DevelopmentAnswer | undefined {
  const moment = supposed(state, at, book, question);
  if (moment === undefined) return undefined;
  const asked = wordsOn(moment, 'development-time-min', 'min');
  const least = choose(asked, 'min');
  const most = choose(wordsOn(moment, 'development-time-max', 'max'), 'max');
  // Between a law's chart and another's upper end there may be nothing: the law's time is then the only one.
  const upper = most === undefined || least === undefined ? undefined : Math.max(most.time, least.time);
  const standing =
    least === undefined || question.time === undefined ? undefined : standingOf(question.time, least.time, upper);
  return {
    chemistry: moment.scene.chemistry,
    ...(least && { time: least.time, by: least.by }),
    ...(most && { most }),
    ...(standing !== undefined && !isRefusal(standing) && { standing }),
    asked: asked.flat(),
    open: asked.filter(isOpenLaw).flat(),
    fixing: fixing(moment),
    washing: lasting(moment, 'wash-time-min'),
  };
}

const isOpenLaw = (answers: readonly ChartAnswer[]) =>
  answers.every(({ time, layer }) => time === undefined && bindingLayers.includes(layer));

/** A run that nobody developed: read by facts, limits and charts as if it just came out of the tank. */
function supposed(state: SiteState, at: number, book: PackBook, question: DevelopmentQuestion): Moment | undefined {
  const { site } = state;
  const line = state.lines[question.line];
  if (site === null || line === undefined) return undefined;
  const { method, temperature, time, chemistry } = question;
  const event: LedgerEvent<'film.processed'> = {
    ...{ type: 'film.processed', source: 'question', id: 'question', site: state.id, at, rank: 0 },
    data: { line: line.id, method, count: 1, purpose: 'test', developer: { temperature, time } },
  };
  const lines = { ...state.lines, [line.id]: withReadings(line, at, question) };
  const moment = momentOf({ ...state, lines }, book.at(at, site), event);
  return moment && chemistry !== undefined ? { ...moment, scene: { ...moment.scene, chemistry } } : moment;
}

/** The line as it would be with what the question says of its fixer and its wash. */
function withReadings(
  line: LineState,
  at: number,
  { clearing, freshClearing, washTemperature }: DevelopmentQuestion,
): LineState {
  const wash = line.baths['wash'];
  const { fresh, latest } = line.fixerClearing ?? {};
  const known = { fresh: freshClearing ?? fresh, latest: clearing ?? latest, at };
  return {
    ...line,
    ...(known.latest !== undefined && { fixerClearing: known }),
    ...(wash !== undefined &&
      washTemperature !== undefined && {
        baths: { ...line.baths, wash: { ...wash, temperature: { value: washTemperature, at } } },
      }),
  };
}

/** What each word on a limit answers here, the most binding first; of a limit of nobody the maker's sheet, if it is on file. */
function wordsOn(moment: Moment, id: string, side: 'min' | 'max'): ChartAnswer[][] {
  const words = (moment.rules.limits.get(id) ?? []).filter((limit) => selects(limit.for, moment.scene));
  const said = words.map((limit) => answersOf(moment, limit, side)).filter((answers) => answers.length > 0);
  const sheet = said.length === 0 && side === 'min' ? makersChart(moment, id) : undefined;
  if (sheet !== undefined) return [answersOf(moment, sheetAlone(sheet), 'min')];
  const order = ([answer]: ChartAnswer[]) => (answer === undefined ? -1 : layerOrder.indexOf(answer.layer));
  return said.sort((a, b) => order(a) - order(b));
}

function answersOf(moment: Moment, limit: Said<Limit>, side: 'min' | 'max'): ChartAnswer[] {
  const bound = limit[side];
  if (bound === undefined) return [];
  const { pack, role, citation } = limit;
  const word = { pack: pack.id, version: pack.version, authority: pack.authority, layer: pack.layer, role, citation };
  return resolve(moment, limit, bound).map(({ value, chart }): ChartAnswer => {
    if (chart === undefined)
      return {
        ...word,
        ...(value === undefined ? { silent: bound.kind === 'chart' ? 'notInForce' : 'lacks' } : { time: value }),
      };
    return {
      ...word,
      ...(chart.pack !== pack && { citation: chart.citation }),
      chart: titled(chart),
      ...(value === undefined ? { silent: silence(moment, chart)?.why ?? 'lacks' } : { time: value }),
    };
  });
}

function titled({ id, title, pack, by, rows }: Said<Chart>): AskedChart {
  const keys = rows.map(({ key }) => key);
  return { id, title, layer: pack.layer, rows: { by, from: Math.min(...keys), to: Math.max(...keys) } };
}

/** A limit of no one's, only so that a sheet is looked up as any chart is. */
const sheetAlone = (sheet: Said<Chart>): Said<Limit> => ({
  ...{ id: sheet.answers ?? '', of: sheet.gives, for: {}, severity: 'advice' },
  ...{ citation: sheet.citation, pack: sheet.pack, min: { kind: 'chart', chart: sheet.id } },
});

/**
 * One word of all, never a mixture: of a limit that is met by the sheet or by its own chart the sheet, if it answers; then
 * of all limits the strictest, of equal ones the most binding.
 */
function choose(words: readonly (readonly ChartAnswer[])[], side: 'min' | 'max') {
  const firsts = words.flatMap((answers) => answers.find(({ time }) => time !== undefined) ?? []);
  const times = firsts.flatMap(({ time }) => time ?? []);
  if (times.length === 0) return undefined;
  const time = side === 'min' ? Math.max(...times) : Math.min(...times);
  const by = firsts.find((word) => word.time === time);
  return by && { time, by };
}

function lasting(moment: Moment, id: string): Lasting {
  const chosen = choose(wordsOn(moment, id, 'min'), 'min');
  return chosen === undefined ? {} : { least: chosen.time, by: chosen.by };
}

function fixing(moment: Moment): Fixing {
  const { fresh, latest } = moment.line?.fixerClearing ?? {};
  const own = lasting(moment, 'fixing-time-min');
  if (latest === undefined || moment.scene.method !== 'manual') return own;
  const byClearing = fixingTime(latest);
  const life = fresh === undefined ? undefined : fixerLife(fresh, latest);
  return {
    ...own,
    ...(!isRefusal(byClearing) && { byClearing: { ...byClearing, clearing: latest } }),
    ...(life !== undefined && !isRefusal(life) && { life }),
  };
}
