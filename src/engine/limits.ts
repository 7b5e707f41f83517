import type { PackBook, RuleSet, Said } from '../packs/book.js';
import { facts } from '../packs/facts.js';
import { bindingLayers, type Limit } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import { Budget } from '../packs/strictness.js';
import { asWritten, boundText } from './limits/bounds.js';
import type { ChainLink, EffectiveLimit, Strictest, Turn } from './limits/effective.js';
import { conflictIn, idleSides, layerOrder, strictestOf } from './limits/strictness.js';
import { tell, type Silent } from './limits/told.js';
import { begun, isSucceeded, replacedBy, setsAround, wordKey } from './limits/turns.js';
import { sceneOf, type Moment } from './moment.js';
import type { LineState, SiteState } from './state.js';
import { sayFact, sayQuantity } from './words.js';

export type { BoundText, ChainLink, EffectiveLimit, NoEffect, Strictest, Turn } from './limits/effective.js';

/**
 * Every limit in force at a site at `at`, for each of its lines, with its chain; and those that will be within 60 days
 * or were within a year. The state must stand at `at`.
 */
export function effectiveLimits(state: SiteState, at: number, book: PackBook): EffectiveLimit[] {
  const site = state.site;
  if (site === null) return [];
  const now = book.at(at, site);
  const { coming, gone } = setsAround(book, site, at);
  const result: EffectiveLimit[] = [];
  for (const id of new Set([now, ...coming, ...gone].flatMap(({ limits }) => [...limits.keys()]))) {
    const all = [now, ...coming, ...gone].flatMap(({ limits }) => limits.get(id) ?? []);
    for (const line of linesOf(state, all)) {
      const scene = sceneOf(line);
      const moment: Moment = { at, state, site, rules: now, line, scene, relied: new Map() };
      const found = effective(moment, id, coming, gone);
      if (found !== undefined) result.push(found);
    }
  }
  return result.sort((a, b) =>
    a.limit < b.limit ? -1 : a.limit > b.limit ? 1 : (a.line ?? '') < (b.line ?? '') ? -1 : 1,
  );
}

/** What a line does for itself: a limit on it is told for each. */
const ofLines = ['film.processed', 'chemistry.changed'];

/** The lines that a limit is told for one by one; undefined stands for the site as a whole. */
function linesOf(state: SiteState, all: readonly Limit[]): (LineState | undefined)[] {
  const perLine =
    all.some((limit) => Object.keys(limit.for).length > 0) ||
    all.some(({ of }) => facts.get(of)?.fedBy.some((type) => ofLines.includes(type)));
  return perLine ? Object.values(state.lines).filter(({ config }) => config.ended !== true) : [undefined];
}

function effective(
  moment: Moment,
  id: string,
  coming: readonly RuleSet[],
  gone: readonly RuleSet[],
): EffectiveLimit | undefined {
  const said = saidHere(moment, id);
  const starts = startsOf(moment, id, coming);
  const ended = endedOf(moment, id, gone);
  const of = said[0]?.of ?? starts[0]?.of ?? ended[0]?.of;
  if (of === undefined) return undefined;
  const budget = new Budget(points);
  const conflict = conflictIn(moment, said, budget);
  const found = {
    limit: id,
    of,
    meaning: facts.get(of)?.meaning ?? of,
    unit: facts.get(of)?.unit,
    line: moment.line?.id,
    chain: said.map((limit) => link(moment, limit, said, budget)).sort(byLayer),
    strictest: strictest(moment, said, budget),
    conflict: conflict && [conflict.low, conflict.high].map(({ citation }) => citation.text),
    starts: some(starts.map(({ turn }) => turn)),
    ended: some(ended.map(({ turn }) => turn)),
  };
  const clashing = conflict && { ...conflict, at: placed(moment, conflict) };
  const told = tell(
    { ...found, conflict: clashing && [`${found.conflict?.join(' and ')}${clashing.at}`] },
    moment.at,
    moment.site.zone,
    silentOn(moment, id, said),
  );
  return { ...found, told };
}

/** At which the curves of one limit are compared, at most. */
const points = 40_000;

function strictest(moment: Moment, said: readonly Said<Limit>[], budget: Budget): Strictest[] {
  return strictestOf(moment, said, budget).flatMap(({ side, bath, counted, limit }): Strictest[] => {
    const bound = limit[side];
    if (bound === undefined) return [];
    const { pack, citation } = limit;
    return [
      { side, bath, counted, pack: pack.id, layer: pack.layer, citation, text: boundText(moment, limit, bound).text },
    ];
  });
}

const some = <T>(list: readonly T[]) => (list.length === 0 ? undefined : list);

/** The words of the rules at a moment on a limit that speak of its line, whatever the bath. */
function saidHere({ rules, scene }: Moment, id: string): readonly Said<Limit>[] {
  return (rules.limits.get(id) ?? []).filter((limit) => selects({ ...limit.for, bath: undefined }, scene));
}

function byLayer(a: ChainLink, b: ChainLink): number {
  return layerOrder.indexOf(a.layer) - layerOrder.indexOf(b.layer) || (a.pack < b.pack ? -1 : 1);
}

function link(moment: Moment, limit: Said<Limit>, ladder: readonly Said<Limit>[], budget: Budget): ChainLink {
  const { target } = limit;
  return {
    pack: limit.pack.id,
    authority: limit.pack.authority,
    layer: limit.pack.layer,
    severity: limit.severity,
    bath: limit.for.bath,
    min: limit.min && boundText(moment, limit, limit.min),
    max: limit.max && boundText(moment, limit, limit.max),
    target: target && { min: sayQuantity(target.min), max: sayQuantity(target.max) },
    role: limit.role,
    citation: limit.citation,
    noEffect: some(idleSides(moment, limit, ladder, budget)),
    deprecated: limit.deprecated,
  };
}

interface Turning {
  readonly of: string;
  readonly turn: Turn;
}

/** What begins to hold, judged beside what else will hold then. */
function startsOf(now: Moment, id: string, coming: readonly RuleSet[]): Turning[] {
  const found: Turning[] = [];
  const budget = new Budget(points);
  let earlier = now.rules;
  for (const rules of coming) {
    const then: Moment = { ...now, at: rules.from, rules, relied: new Map() };
    const ladder = saidHere(then, id);
    const replaced = replacedBy(
      begun(id, earlier, rules).filter((limit) => ladder.includes(limit)),
      begun(id, rules, earlier).filter((limit) => selects({ ...limit.for, bath: undefined }, now.scene)),
    );
    for (const [limit, before] of replaced) {
      const instead = before && sidesText(now, before);
      found.push({ of: limit.of, turn: { ...link(then, limit, ladder, budget), at: rules.from, instead } });
    }
    earlier = rules;
  }
  return found;
}

function sidesText(moment: Moment, limit: Said<Limit>): string {
  const { min, max } = link(moment, limit, [], new Budget(0));
  return [min && `at least ${min.text}`, max && `at most ${max.text}`].filter(Boolean).join(' and ');
}

/** What no longer holds and has no successor, once each, latest end first. */
function endedOf(now: Moment, id: string, gone: readonly RuleSet[]): Turning[] {
  const standing = saidHere(now, id);
  const seen = new Set(standing.map(wordKey));
  return gone.flatMap((rules) => {
    const then: Moment = { ...now, at: rules.to - 1, rules, relied: new Map() };
    return saidHere(then, id).flatMap((limit): Turning[] => {
      if (seen.has(wordKey(limit)) || isSucceeded(limit, standing)) return [];
      seen.add(wordKey(limit));
      return [{ of: limit.of, turn: { ...link(then, limit, [], new Budget(0)), at: rules.to } }];
    });
  });
}

/** Where two charts clash only at some reading: " at 68 F". */
function placed({ rules, site }: Moment, { low, high, keys }: { low: Limit; high: Limit; keys: readonly number[] }) {
  const chart = [low.min, high.max].flatMap((bound) =>
    bound?.kind === 'chart' ? (rules.charts.get(bound.chart) ?? []) : [],
  )[0];
  const [key] = keys;
  if (chart === undefined || key === undefined) return '';
  const said = sayFact(chart.by, key, site.zone) ?? asWritten(chart.by, key, chart.units.by);
  return `, where ${facts.get(chart.by)?.meaning ?? chart.by} is ${said}`;
}

/** Binding packs in force here that say nothing on the limit, and what their sources did not show. */
function silentOn({ rules }: Moment, id: string, said: readonly Said<Limit>[]): Silent[] {
  const elsewhere = new Set((rules.limits.get(id) ?? []).map(({ pack }) => pack));
  return rules.packs
    .filter(({ layer }) => bindingLayers.includes(layer))
    .filter((pack) => elsewhere.has(pack) || pack.notKnown.length > 0)
    .filter((pack) => !said.some((limit) => limit.pack === pack))
    .map((pack) => ({
      authority: pack.authority,
      speaks: elsewhere.has(pack),
      topics: pack.notKnown.map(({ topic }) => topic),
    }));
}
