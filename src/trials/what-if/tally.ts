import type { Finding } from '../../engine/finding.js';
import { attend, type Attention, attentionOf, noOffices } from './attention.js';
import { between, type Difference } from './differences.js';
import type { Gap, MissingFact } from './gaps.js';
import type { SiteEnd } from './site.js';

/** A finding that is there on one side only, or differs. */
export interface Listed {
  readonly site: string;
  readonly finding: Finding;
}
export interface Changed {
  readonly site: string;
  readonly differs: readonly Difference[];
  readonly before: Finding;
  readonly after: Finding;
}

/** How many findings come, go and change. */
export interface Counts {
  readonly added: number;
  readonly removed: number;
  readonly changed: number;
}
export interface OfRule extends Counts {
  readonly rule: string;
  /** How many of the changed ones differ in what; only what does. */
  readonly differs: Readonly<Partial<Record<Difference, number>>>;
}
export interface OfSite extends Counts {
  readonly site: string;
  readonly events: number;
}

/** A rule of which the history shows nothing, and at how many sites. */
export interface Unprovable {
  readonly rule: string;
  readonly why: Gap['why'];
  readonly sites: number;
  readonly asked: number;
  readonly missing: readonly MissingFact[];
  readonly send: readonly string[];
}

/** What would have been otherwise. Lists hold the first of each kind, counts are of all. */
export interface WhatIf {
  readonly events: number;
  readonly sites: number;
  readonly counts: Counts;
  readonly added: readonly Listed[];
  readonly removed: readonly Listed[];
  readonly changed: readonly Changed[];
  /** Most differences first. */
  readonly byRule: readonly OfRule[];
  readonly bySite: readonly OfSite[];
  readonly unprovable: readonly Unprovable[];
  readonly attention: Attention;
  /** Sites that could not be tried, with the reason. */
  readonly failed: readonly { readonly site: string; readonly reason: string }[];
}

/** Findings listed of each kind, and of one rule at most half of them, so that a loud rule leaves room for the others. */
export const mostListed = 100;
/** Sites listed. */
export const mostSites = 200;

interface Writable {
  added: number;
  removed: number;
  changed: number;
}
const none = (): Writable => ({ added: 0, removed: 0, changed: 0 });

/** What the trials of all sites came to. Its size does not grow with events or findings. */
export class Tally {
  readonly #counts = none();
  readonly #lists = { added: [] as Listed[], removed: [] as Listed[], changed: [] as Changed[] };
  readonly #listedOf = new Map<string, number>();
  readonly #rules = new Map<string, Writable & { differs: Partial<Record<Difference, number>> }>();
  readonly #sites: OfSite[] = [];
  readonly #gaps = new Map<string, Unprovable>();
  readonly #failed: { site: string; reason: string }[] = [];
  #ofSite = none();
  #number = 0;
  #events = 0;
  #attention = noOffices;

  /** @returns goes back to here: a site that was begun is forgotten. */
  mark(): () => void {
    const counts = { ...this.#counts };
    const lengths = Object.entries(this.#lists).map(([kind, { length }]) => [kind, length] as const);
    const listedOf = new Map(this.#listedOf);
    const rules = structuredClone(this.#rules);
    return () => {
      Object.assign(this.#counts, counts);
      for (const [kind, length] of lengths) this.#lists[kind as keyof Counts].length = length;
      refill(this.#listedOf, listedOf);
      refill(this.#rules, rules);
      this.#ofSite = none();
    };
  }

  /** How both sides left a finding. */
  readonly told = (site: string, before: Finding | undefined, after: Finding | undefined): void => {
    if (before === undefined) {
      if (after !== undefined) this.#count('added', after.rule, () => ({ site, finding: structuredClone(after) }));
      return;
    }
    if (after === undefined) {
      this.#count('removed', before.rule, () => ({ site, finding: structuredClone(before) }));
      return;
    }
    const differs = between(before, after);
    if (differs.length === 0) return;
    const rule = this.#count('changed', after.rule, () => ({
      ...{ site, differs },
      ...{ before: structuredClone(before), after: structuredClone(after) },
    }));
    for (const one of differs) rule[one] = (rule[one] ?? 0) + 1;
  };

  /** A site is done. */
  end(end: SiteEnd): void {
    const { site, events, gaps } = end;
    const counts = this.#ofSite;
    this.#ofSite = none();
    this.#number += 1;
    this.#events += events;
    if (events > 0) this.#attention = attend(this.#attention, end);
    if (differences(counts) > 0) this.#keepSite({ site, events, ...counts });
    for (const gap of gaps) this.#gap(gap);
  }

  failed(site: string, reason: string): void {
    if (this.#failed.length < mostSites) this.#failed.push({ site, reason });
  }

  answer(): WhatIf {
    const most = <T extends Counts>(a: T, b: T) => differences(b) - differences(a);
    return {
      events: this.#events,
      sites: this.#number,
      counts: { ...this.#counts },
      ...this.#lists,
      byRule: [...this.#rules].map(([rule, counts]) => ({ rule, ...counts })).sort(most),
      bySite: [...this.#sites].sort(most),
      unprovable: [...this.#gaps.values()].sort((a, b) => b.sites - a.sites || (a.rule < b.rule ? -1 : 1)),
      attention: attentionOf(this.#attention),
      failed: this.#failed,
    };
  }

  #count<K extends keyof Counts>(
    kind: K,
    rule: string,
    listed: () => K extends 'changed' ? Changed : Listed,
  ): Partial<Record<Difference, number>> {
    let ofRule = this.#rules.get(rule);
    if (ofRule === undefined) this.#rules.set(rule, (ofRule = { ...none(), differs: {} }));
    for (const counts of [this.#counts, this.#ofSite, ofRule]) counts[kind] += 1;
    const key = `${kind} ${rule}`;
    const already = this.#listedOf.get(key) ?? 0;
    const list = this.#lists[kind] as (Changed | Listed)[];
    if (list.length < mostListed && already < mostListed / 2) {
      this.#listedOf.set(key, already + 1);
      list.push(listed());
    }
    return ofRule.differs;
  }

  /** The sites with most differences, of however many. */
  #keepSite(one: OfSite): void {
    this.#sites.push(one);
    if (this.#sites.length < 2 * mostSites) return;
    this.#sites.sort((a, b) => differences(b) - differences(a));
    this.#sites.length = mostSites;
  }

  #gap({ rule, why, asked, missing, send }: Gap): void {
    const key = `${rule} ${why}`;
    const known = this.#gaps.get(key);
    const facts = new Map([...(known?.missing ?? []), ...missing].map((one) => [one.fact, one]));
    this.#gaps.set(key, {
      ...{ rule, why, sites: (known?.sites ?? 0) + 1, asked: (known?.asked ?? 0) + asked },
      missing: [...facts.values()],
      send: [...new Set([...(known?.send ?? []), ...send])],
    });
  }
}

const differences = ({ added, removed, changed }: Counts) => added + removed + changed;

function refill<K, V>(map: Map<K, V>, from: ReadonlyMap<K, V>): void {
  map.clear();
  for (const [key, value] of from) map.set(key, value);
}
