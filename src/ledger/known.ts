import type { Transaction } from '../db/port.js';
import { nearest } from '../events/nearest.js';
import type { OpenSite } from './open-sites.js';
import type { EventFault, Incoming } from './results.js';

/**
 * Faults that only the site's configuration or the packs show: a site nobody configured, a line or unit that is in none
 * of its configurations, an obligation that no pack has. Configurations of the same batch count as well: the order within
 * a batch does not matter.
 */
export class KnownNames {
  readonly #open: ReadonlyMap<string, OpenSite>;
  readonly #lines = new Map<string, Set<string>>();
  readonly #tubes = new Map<string, Set<string>>();
  readonly #obligations: ReadonlySet<string>;
  #sites: readonly string[] = [];

  /** @param obligations what an `obligation.done` may name. */
  constructor(batch: readonly Incoming[], open: ReadonlyMap<string, OpenSite>, obligations: ReadonlySet<string>) {
    this.#open = open;
    this.#obligations = obligations;
    for (const { event } of batch) {
      if (event.type === 'site.configured') {
        this.#add(event.site, event.data);
      }
    }
    for (const [site, { entry }] of open) {
      if (entry === undefined) continue;
      const { site: present, next, lines, tubes } = entry.state;
      this.#add(site, { lines: Object.values(lines), tubes: Object.values(tubes) });
      for (const config of [present, next]) if (config !== null) this.#add(site, config);
    }
  }

  /** Only when a site is unknown is it worth asking which there are. */
  async prepare(tx: Transaction, organisation: string, batch: readonly Incoming[]): Promise<void> {
    if (batch.every(({ event }) => this.#open.has(event.site))) return;
    const rows = await tx.query<{ site: string }>(
      'select site from site_head where organisation = $1 order by site',
      organisation,
    );
    this.#sites = rows.map(({ site }) => site);
  }

  faultOf({ event, sees }: Incoming): EventFault | undefined {
    const open = this.#open.get(event.site);
    if (open === undefined) {
      const known = sees === undefined ? this.#sites : this.#sites.filter((site) => sees.includes(site));
      return fault('/site', 'unknown-site', `The site ${event.site} is not configured`, event.site, known);
    }
    if (event.type === 'obligation.done' && !this.#obligations.has(event.data.obligation)) {
      const { obligation } = event.data;
      const known = [...this.#obligations].sort();
      return fault(
        '/data/obligation',
        'unknown-obligation',
        `No pack has the obligation ${obligation}`,
        obligation,
        known,
      );
    }
    // A site that cannot be judged has no configuration at hand; the fold will cope with a line it does not know.
    if (open.entry === undefined || event.type === 'site.configured') return undefined;
    const { line, tube } = event.data as { readonly line?: unknown; readonly tube?: unknown };
    const lines = this.#lines.get(event.site) ?? new Set();
    if (typeof line === 'string' && !lines.has(line)) {
      return fault('/data/line', 'unknown-line', `The site ${event.site} has no line ${line}`, line, [...lines]);
    }
    const tubes = this.#tubes.get(event.site) ?? new Set();
    if (typeof tube === 'string' && !tubes.has(tube)) {
      return fault('/data/tube', 'unknown-tube', `The site ${event.site} has no unit ${tube}`, tube, [...tubes]);
    }
    return undefined;
  }

  #add(
    site: string,
    names: { readonly lines: readonly { id: string }[]; readonly tubes: readonly { id: string }[] },
  ): void {
    for (const { id } of names.lines) push(this.#lines, site, id);
    for (const { id } of names.tubes) push(this.#tubes, site, id);
  }
}

function fault(pointer: string, code: string, says: string, given: string, known: readonly string[]): EventFault {
  const near = nearest(given, known);
  const allowed = known.slice(0, 20);
  const hint =
    near !== undefined ? `; did you mean ${near}?` : known.length === 0 ? '.' : `; there are ${allowed.join(', ')}.`;
  return { pointer, code, message: says + hint, allowed, ...(near === undefined ? {} : { nearest: near }) };
}

function push(map: Map<string, Set<string>>, site: string, id: string): void {
  const set = map.get(site);
  if (set === undefined) map.set(site, new Set([id]));
  else set.add(id);
}
