import type { PackBook, Said } from '../packs/book.js';
import { facts } from '../packs/facts.js';
import {
  bindingLayers,
  type Bound,
  type Chart,
  type ChartRow,
  type Citation,
  type Layer,
  type Limit,
  type Lookup,
  type Severity,
} from '../packs/model.js';
import { inUnitOf } from '../packs/reader/units.js';
import { selects } from '../packs/selector.js';
import { makersChart } from './makers-chart.js';
import { sceneOf, type Moment } from './moment.js';
import type { SiteState } from './state.js';
import { sayClock, sayPeriod, sayQuantity, sayTimes } from './words.js';

/** A limit as it stands for one line: every layer's word, the strictest first among what binds. */
export interface EffectiveLimit {
  readonly limit: string;
  readonly of: string;
  readonly meaning: string;
  readonly unit?: string;
  readonly line?: string;
  readonly chain: readonly ChainLink[];
  /** Two binding layers that cannot both be kept: both citations. */
  readonly conflict?: readonly string[];
}
export interface ChainLink {
  readonly pack: string;
  readonly layer: Layer;
  readonly severity: Severity;
  readonly min?: BoundText;
  readonly max?: BoundText;
  readonly target?: { readonly min: string; readonly max: string };
  /** A bound that gives way to the maker's sheet, or is met by either. */
  readonly role?: 'fallback' | 'alternative';
  readonly citation: Citation;
}
export interface BoundText {
  readonly text: string;
  /** As the pack writes it, with its UCUM unit, where it is one number. */
  readonly value?: number;
  readonly unit?: string;
  readonly chart?: {
    readonly id: string;
    readonly title: string;
    readonly layer: Layer;
    readonly lookup: Lookup;
    readonly units: { readonly by: string; readonly and?: string; readonly gives: string };
    /** In those units. */
    readonly rows: readonly ChartRow[];
  };
}

/** Every limit in force at a site at `at`, for each of its lines, with its chain. The state must stand at `at`. */
export function effectiveLimits(state: SiteState, at: number, book: PackBook): EffectiveLimit[] {
  const site = state.site;
  if (site === null) return [];
  const rules = book.at(at, site);
  const result: EffectiveLimit[] = [];
  for (const [id, all] of rules.limits) {
    const perLine =
      all.some((limit) => Object.keys(limit.for).length > 0) ||
      facts.get(all[0]?.of ?? '')?.fedBy.includes('film.processed');
    const lines = perLine ? Object.values(state.lines).filter(({ config }) => config.ended !== true) : [undefined];
    for (const line of lines) {
      const scene = sceneOf(line);
      const moment: Moment = { at, state, site, rules, line, scene, relied: new Map() };
      const said = all.filter((limit) => selects({ ...limit.for, bath: undefined }, scene));
      const of = said[0]?.of;
      if (of === undefined) continue;
      result.push({
        limit: id,
        of,
        meaning: facts.get(of)?.meaning ?? of,
        unit: facts.get(of)?.unit,
        line: line?.id,
        chain: said.map((limit) => link(moment, limit)).sort(byLayer),
        conflict: conflictOf(said),
      });
    }
  }
  return result.sort((a, b) =>
    a.limit < b.limit ? -1 : a.limit > b.limit ? 1 : (a.line ?? '') < (b.line ?? '') ? -1 : 1,
  );
}

const order: readonly Layer[] = [...bindingLayers, 'maker', 'clinic', 'practice'];

function byLayer(a: ChainLink, b: ChainLink): number {
  return order.indexOf(a.layer) - order.indexOf(b.layer) || (a.pack < b.pack ? -1 : 1);
}

function link(moment: Moment, limit: Said<Limit>): ChainLink {
  const { target } = limit;
  return {
    pack: limit.pack.id,
    layer: limit.pack.layer,
    severity: limit.severity,
    min: limit.min && boundText(moment, limit, limit.min),
    max: limit.max && boundText(moment, limit, limit.max),
    target: target && { min: sayQuantity(target.min), max: sayQuantity(target.max) },
    role: limit.role,
    citation: limit.citation,
  };
}

function boundText(moment: Moment, limit: Said<Limit>, bound: Bound): BoundText {
  switch (bound.kind) {
    case 'quantity':
      return { text: sayQuantity(bound.quantity), value: bound.quantity.value, unit: bound.quantity.unit };
    case 'period':
      return { text: sayPeriod(bound.period) };
    case 'fact':
      return { text: sayTimes(bound) };
    case 'chart': {
      const own = moment.rules.charts.get(bound.chart);
      const sheet = limit.role === undefined ? undefined : makersChart(moment, own?.answers ?? limit.id);
      const chart = sheet ?? own;
      const plus = bound.plus === undefined ? '' : `, plus ${sayClock(bound.plus.canonical)}`;
      return {
        text: `by chart: ${chart?.title ?? bound.chart}${plus}`,
        chart: chart && chartText(chart),
      };
    }
  }
}

function chartText({ id, title, pack, lookup, units, by, and, gives, rows }: Said<Chart>): BoundText['chart'] {
  return {
    ...{ id, title, layer: pack.layer, lookup, units },
    rows: rows.map(({ key, and: second, value }) => ({
      key: asWritten(by, key, units.by),
      ...(second === undefined ? {} : { and: asWritten(and ?? '', second, units.and ?? '1') }),
      value: asWritten(gives, value, units.gives),
    })),
  };
}

/** A number of a fact in a unit again; nine digits take the binary fractions away. */
function asWritten(name: string, value: number, unit: string): number {
  const own = facts.get(name)?.unit;
  if (own === undefined) return value;
  const zero = inUnitOf(own, { value: 0, unit }, 'reading');
  const one = inUnitOf(own, { value: 1, unit }, 'reading');
  return Number(((value - zero) / (one - zero)).toPrecision(9));
}

function conflictOf(limits: readonly Said<Limit>[]): readonly string[] | undefined {
  const binding = limits.filter(({ pack }) => bindingLayers.includes(pack.layer));
  const number = (bound: Bound | undefined) => (bound?.kind === 'quantity' ? bound.quantity.canonical : undefined);
  for (const low of binding)
    for (const high of binding) {
      const [min, max] = [number(low.min), number(high.max)];
      if (min !== undefined && max !== undefined && min > max) return [low.citation.text, high.citation.text];
    }
  return undefined;
}
