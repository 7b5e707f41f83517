import { createHash } from 'node:crypto';
import { LRUCache } from 'lru-cache';
import { canonicalJson } from '../canonical-json.js';
import { datePlus, dayStart } from '../local-day.js';
import type { Chart, Check, Duty, Limit, Pack, Rule } from './model.js';

/** A limit, chart or rule together with the pack that says it. */
export type Said<T> = T & { readonly pack: Pack };

/** The rules in force at a site over one stretch of time, `from` (inclusive) to `to` (exclusive), in ms. */
export interface RuleSet {
  readonly from: number;
  readonly to: number;
  readonly packs: readonly Pack[];
  readonly checksOn: ReadonlyMap<string, readonly Said<Check>[]>;
  readonly duties: readonly Said<Duty>[];
  readonly rules: ReadonlyMap<string, Said<Rule>>;
  readonly limits: ReadonlyMap<string, readonly Said<Limit>[]>;
  readonly charts: ReadonlyMap<string, Said<Chart>>;
}

/** What of a site's configuration chooses its packs. */
export interface Place {
  readonly zone: string;
  readonly jurisdictions: readonly string[];
}

/**
 * All packs, by date and place. Immutable: another set of packs is another book with another hash.
 */
export class PackBook {
  /** SHA-256 over the packs' content in order of their ids: equal books judge equally. */
  readonly hash: string;
  readonly packs: readonly Pack[];
  /** The places that any pack speaks of. */
  readonly jurisdictions: ReadonlySet<string>;
  /** What an `obligation.done` may name: what some duty waits for, wherever and whenever it is in force. */
  readonly obligations: ReadonlySet<string>;
  /** By zone and those of a place's jurisdictions that a pack speaks of: what a site may list is without end. */
  readonly #sets = new LRUCache<string, RuleSet[]>({ max: mostPlaces });
  /** The same by the place itself, which is asked about at every event. */
  readonly #ofPlace = new WeakMap<Place, RuleSet[]>();
  readonly #rules = new Map<string, Said<Rule>>();
  /** By number of packs begun: they begin one after another. */
  readonly #hashes = new Map<number, string>();

  constructor(packs: readonly Pack[]) {
    this.packs = [...packs].sort((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
    this.hash = hashOf(this.packs);
    this.jurisdictions = new Set(this.packs.flatMap(({ jurisdiction }) => jurisdiction ?? []));
    this.obligations = new Set(this.packs.flatMap(obligationsOf));
    for (const pack of this.packs) for (const rule of pack.rules) this.#rules.set(rule.id, { ...rule, pack });
  }

  /** A rule by its full id, whenever it is or was in force. */
  rule(id: string): Said<Rule> | undefined {
    return this.#rules.get(id);
  }

  /**
   * Hash of what was in force at any place up to `at` (ms): a state folded up to there depends on nothing else, so a
   * pack that begins later leaves it standing. Dates are local; the farthest zone decides.
   */
  hashUpTo(at: number): string {
    const begun = this.packs.filter(({ from }) => from === undefined || Date.parse(from) - farthestZone <= at);
    if (begun.length === this.packs.length) return this.hash;
    let hash = this.#hashes.get(begun.length);
    if (hash === undefined) this.#hashes.set(begun.length, (hash = hashOf(begun)));
    return hash;
  }

  /** The rules in force at `place` at the instant `at` (ms). */
  at(at: number, place: Place): RuleSet {
    const sets = this.#ofPlace.get(place) ?? this.#setsOf(place);
    for (let index = sets.length - 1; index >= 0; index--) {
      const set = sets[index];
      if (set !== undefined && set.from <= at) return set;
    }
    throw new Error(`No rule set reaches back to ${at}.`);
  }

  #setsOf(place: Place): RuleSet[] {
    const known = place.jurisdictions.filter((one) => this.jurisdictions.has(one)).sort();
    const key = [place.zone, ...known].join('|');
    let sets = this.#sets.get(key);
    if (sets === undefined) this.#sets.set(key, (sets = this.#build(place)));
    this.#ofPlace.set(place, sets);
    return sets;
  }

  #build(place: Place): RuleSet[] {
    const here = this.packs
      .filter((pack) => pack.jurisdiction === undefined || place.jurisdictions.includes(pack.jurisdiction))
      .map((pack) => ({
        pack,
        from: pack.from === undefined ? -Infinity : startOf(pack.from, place.zone),
        to: pack.to === undefined ? Infinity : startOf(pack.to, place.zone, 1),
      }));
    const edges = [...new Set([-Infinity, ...here.flatMap(({ from, to }) => [from, to])])]
      .filter((edge) => edge < Infinity)
      .sort((a, b) => a - b);
    return edges.map((from, index) =>
      ruleSet(
        from,
        edges[index + 1] ?? Infinity,
        here.filter((entry) => entry.from <= from && from < entry.to).map((entry) => entry.pack),
      ),
    );
  }
}

const farthestZone = 14 * 3_600_000;

/** Places whose rules are kept ready, with their compiled conditions; another is built again when it is asked about. */
const mostPlaces = 500;

/** Ids of what a pack's duties take as attested by an `obligation.done`. */
export function obligationsOf({ rules }: Pack): string[] {
  const patterns = rules.flatMap((rule) => (rule.kind === 'duty' ? rule.must : []));
  const names = patterns.flatMap((one) => (one.event === 'obligation.done' ? (one.with['obligation'] ?? []) : []));
  return [...new Set(names.map(String))];
}

function hashOf(packs: readonly Pack[]): string {
  return createHash('sha256')
    .update(canonicalJson(JSON.parse(JSON.stringify(packs))))
    .digest('hex');
}

function startOf(date: string, zone: string, plusDays = 0): number {
  return dayStart(datePlus(date, plusDays), zone);
}

function ruleSet(from: number, to: number, packs: readonly Pack[]): RuleSet {
  const checksOn = new Map<string, Said<Check>[]>();
  const duties: Said<Duty>[] = [];
  const rules = new Map<string, Said<Rule>>();
  const limits = new Map<string, Said<Limit>[]>();
  const charts = new Map<string, Said<Chart>>();
  for (const pack of packs) {
    for (const limit of pack.limits) push(limits, limit.id, { ...limit, pack });
    for (const chart of pack.charts) charts.set(chart.id, { ...chart, pack });
    for (const rule of pack.rules) {
      rules.set(rule.id, { ...rule, pack });
      if (rule.kind === 'duty') duties.push({ ...rule, pack });
      else for (const type of rule.on) push(checksOn, type, { ...rule, pack });
    }
  }
  return { from, to, packs, checksOn, duties, rules, limits, charts };
}

function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
