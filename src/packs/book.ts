import { createHash } from 'node:crypto';
import { LRUCache } from 'lru-cache';
import { knowledgeOf, type Knowledge } from './defects.js';
import { canonicalJson } from '../canonical-json.js';
import { datePlus, dayStart } from '../local-day.js';
import type { Chart, Check, Duty, Limit, Pack, Rule, Technique } from './model.js';

/** A limit, chart or rule together with the pack that says it. */
export type Said<T> = T & { readonly pack: Pack };

/** The rules in force at a site over one stretch of time, `from` (inclusive) to `to` (exclusive), in ms. */
export interface RuleSet {
  readonly from: number;
  readonly to: number;
  readonly packs: readonly Pack[];
  readonly checksOn: ReadonlyMap<string, readonly Said<Check>[]>;
  readonly duties: readonly Said<Duty>[];
  /** Checks that are judged at the end of a site-day. */
  readonly rates: readonly Said<Check>[];
  readonly rules: ReadonlyMap<string, Said<Rule>>;
  readonly limits: ReadonlyMap<string, readonly Said<Limit>[]>;
  readonly charts: ReadonlyMap<string, Said<Chart>>;
  /** Those for named sites and units first. */
  readonly techniques: readonly Said<Technique>[];
  /** What the packs know of faults of films; a cause or clue of a later pack takes the place of one of its id. */
  readonly defects: Knowledge;
}

/** What of a site's configuration chooses its packs. */
export interface Place {
  readonly zone: string;
  readonly jurisdictions: readonly string[];
}

/** A pack over the stretch of time, `from` (inclusive) to `to` (exclusive), in ms, in which this text of it stands. */
export interface Edition {
  readonly pack: Pack;
  readonly from: number;
  readonly to: number;
}

/**
 * All packs, by date and place. Immutable: another set of packs is another book with another hash.
 */
export class PackBook {
  /** SHA-256 over the packs' content and when each begins: equal books judge equally. */
  readonly hash: string;
  /** In order of id, and of one id in order of when they begin. */
  readonly editions: readonly Edition[];
  /** The packs of the editions, in their order. */
  readonly packs: readonly Pack[];
  /** The places that any pack speaks of. */
  readonly jurisdictions: ReadonlySet<string>;
  /** What an `obligation.done` may name: what some duty waits for, wherever and whenever it is in force. */
  readonly obligations: ReadonlySet<string>;
  /** By zone and those of a place's jurisdictions that a pack speaks of: what a site may list is without end. */
  readonly #sets = new LRUCache<string, RuleSet[]>({ max: mostPlaces });
  /** The same by the place itself, which is asked about at every event. */
  readonly #ofPlace = new WeakMap<Place, RuleSet[]>();
  /** By full id, and by full id and version of the pack. */
  readonly #rules = new Map<string, Said<Rule>>();
  /** By number of editions begun: they begin one after another. */
  readonly #hashes = new Map<number, string>();

  /** @param packs a bare pack stands from ever on; its own dates decide when it is in force. */
  constructor(packs: readonly (Pack | Edition)[]) {
    this.editions = packs
      .map((each) => ('pack' in each ? each : { pack: each, from: -Infinity, to: Infinity }))
      .sort((a, b) => compare(a.pack.id, b.pack.id) || compare(beginOf(a), beginOf(b)));
    this.hash = hashOf(this.editions);
    this.packs = this.editions.map(({ pack }) => pack);
    this.jurisdictions = new Set(this.packs.flatMap(({ jurisdiction }) => jurisdiction ?? []));
    this.obligations = new Set(this.packs.flatMap(obligationsOf));
    for (const pack of this.packs)
      for (const rule of pack.rules) {
        const said = { ...rule, pack };
        this.#rules.set(rule.id, said).set(versioned(rule.id, pack.version), said);
      }
  }

  /**
   * A rule by its full id, whenever it is or was in force.
   * @param version of its pack; the newest where it is left out, or where there is none of that version any more.
   */
  rule(id: string, version?: string): Said<Rule> | undefined {
    return (version === undefined ? undefined : this.#rules.get(versioned(id, version))) ?? this.#rules.get(id);
  }

  /**
   * Hash of what was in force at any place up to `at` (ms): a state folded up to there depends on nothing else, so a
   * pack that begins later leaves it standing. Dates are local; the farthest zone decides.
   */
  hashUpTo(at: number): string {
    const begun = this.editions.filter((edition) => beginOf(edition) <= at);
    if (begun.length === this.editions.length) return this.hash;
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
    const local = this.editions.map(({ pack, from, to }) => ({
      pack,
      from: pack.from === undefined ? from : Math.max(from, startOf(pack.from, place.zone)),
      to,
    }));
    const here = local
      .map(({ pack, from, to }, index) => {
        // A text stands until a later word is in force here, which may wait for the day to begin; one that is replaced
        // before its own day never stands.
        const later = local.slice(index + 1).filter((one) => one.pack.id === pack.id);
        const end = later.length === 0 ? to : Math.min(...later.map((one) => one.from));
        return { pack, from, to: pack.to === undefined ? end : Math.min(end, startOf(pack.to, place.zone, 1)) };
      })
      .filter(({ pack }) => pack.jurisdiction === undefined || place.jurisdictions.includes(pack.jurisdiction))
      .filter(({ from, to }) => from < to);
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

/** Where an edition ends is where its successor begins, which says it too. */
function hashOf(editions: readonly Edition[]): string {
  const hash = createHash('sha256');
  for (const { pack, from } of editions) hash.update(`${from} ${contentHash(pack)}\n`);
  return hash.digest('hex');
}

const contentHashes = new WeakMap<Pack, string>();

/** SHA-256 of what a pack says, however its text is laid out. */
export function contentHash(pack: Pack): string {
  let hash = contentHashes.get(pack);
  if (hash === undefined) {
    const text = canonicalJson(JSON.parse(JSON.stringify(pack)));
    contentHashes.set(pack, (hash = createHash('sha256').update(text).digest('hex')));
  }
  return hash;
}

/** The first instant at which an edition can be in force anywhere; dates are local, and the farthest zone decides. */
export function beginOf({ pack, from }: Pick<Edition, 'pack' | 'from'>): number {
  return pack.from === undefined ? from : Math.max(from, Date.parse(pack.from) - farthestZone);
}

const versioned = (id: string, version: string) => `${id}@${version}`;

const compare = <T extends string | number>(a: T, b: T) => (a < b ? -1 : a > b ? 1 : 0);

function startOf(date: string, zone: string, plusDays = 0): number {
  return dayStart(datePlus(date, plusDays), zone);
}

function ruleSet(from: number, to: number, packs: readonly Pack[]): RuleSet {
  const checksOn = new Map<string, Said<Check>[]>();
  const duties: Said<Duty>[] = [];
  const rates: Said<Check>[] = [];
  const rules = new Map<string, Said<Rule>>();
  const limits = new Map<string, Said<Limit>[]>();
  const charts = new Map<string, Said<Chart>>();
  const techniques: Said<Technique>[] = [];
  for (const pack of packs) {
    for (const limit of pack.limits) push(limits, limit.id, { ...limit, pack });
    for (const chart of pack.charts) charts.set(chart.id, { ...chart, pack });
    for (const technique of pack.techniques ?? []) techniques.push({ ...technique, pack });
    for (const rule of pack.rules) {
      rules.set(rule.id, { ...rule, pack });
      if (rule.kind === 'duty') duties.push({ ...rule, pack });
      else if (rule.rate !== undefined) rates.push({ ...rule, pack });
      else for (const type of rule.on) push(checksOn, type, { ...rule, pack });
    }
  }
  techniques.sort((a, b) => named(b) - named(a));
  return { from, to, packs, checksOn, duties, rates, rules, limits, charts, techniques, defects: knowledgeOf(packs) };
}

const named = ({ for: { site, tube } }: Technique) => Number(site !== undefined) + Number(tube !== undefined);

function push<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
