import type { Transaction } from '../db/port.js';
import { compareKeys } from '../events/order.js';
import type { Finding } from '../engine/finding.js';
import { findingsNaming, type PlacedChange } from '../findings/store.js';
import { append, holdersOf, type KeyHolder } from './append.js';
import type { Ledger } from './context.js';
import { stepOn, wholeOf, type Folded } from './fold-site.js';
import { saveHeads, type SiteHead } from './heads.js';
import { KnownNames } from './known.js';
import { foldFailure, openSites, type OpenSite, waitingForReplay } from './open-sites.js';
import { keyOf } from './read.js';
import { keepRefusals } from './rejected.js';
import { counts, replay } from './replay.js';
import type { EventFault, EventResult, Incoming } from './results.js';
import { type Judged, settle } from './settle.js';
import type { SiteEntry } from './site-cache.js';

export interface BatchOutcome {
  /** One for each event, in their order. */
  readonly results: readonly EventResult[];
  readonly changes: readonly PlacedChange[];
  /** Sites that wait for a replay in the background. */
  readonly waiting: readonly string[];
}

/** Append a batch to the ledger and judge it, in one transaction. Committed when it resolves; else nothing happened. */
export async function commitBatch(
  ledger: Ledger,
  organisation: string,
  batch: readonly Incoming[],
): Promise<BatchOutcome> {
  const held = new Set<string>();
  let entries: ReadonlyMap<string, SiteEntry> = new Map();
  try {
    const done = await ledger.database.withOrganisation(organisation, (tx) =>
      new Batch(tx, ledger, organisation, batch).run(held),
    );
    entries = done.entries;
    return done;
  } finally {
    for (const site of held) ledger.cache.release(organisation, site, entries.get(site));
  }
}

/** How one event fared, in the order: faults first, then who holds its key. */
type Fate =
  | { readonly status: 'rejected'; readonly faults: readonly EventFault[] }
  | { readonly status: 'accepted' | 'duplicate' };

class Batch {
  readonly #tx: Transaction;
  readonly #ledger: Ledger;
  readonly #organisation: string;
  readonly #batch: readonly Incoming[];

  constructor(tx: Transaction, ledger: Ledger, organisation: string, batch: readonly Incoming[]) {
    this.#tx = tx;
    this.#ledger = ledger;
    this.#organisation = organisation;
    this.#batch = batch;
  }

  async run(held: Set<string>): Promise<BatchOutcome & { readonly entries: ReadonlyMap<string, SiteEntry> }> {
    const { now } = this.#ledger;
    const open = await openSites(this.#tx, this.#ledger, this.#organisation, this.#batch, held);
    const { fates, fresh } = await this.#append(open);
    const judged: Judged[] = [];
    const heads: SiteHead[] = [];
    const entries = new Map<string, SiteEntry>();
    const unjudged = new Map<string, string>();
    const late = await this.#retract(open, fresh);
    for (const [site, place] of open) {
      const events = fresh.get(site);
      if (events === undefined) {
        if (place.entry !== undefined) entries.set(site, place.entry);
        if (place.unjudged !== undefined) unjudged.set(site, place.unjudged);
        continue;
      }
      const { head } = place;
      head.version += 1;
      head.events += events.length;
      heads.push(head);
      const answer = await this.#fold(place, events, late.has(site));
      if (typeof answer === 'string') {
        head.unjudged = answer;
        unjudged.set(site, answer);
      } else {
        entries.set(site, answer.entry);
        judged.push(answer.judged);
      }
    }
    const changes = await settle(this.#tx, this.#ledger, this.#organisation, judged, now());
    await saveHeads(this.#tx, this.#organisation, heads, now());
    const results = await this.#results(fates, fresh, judged, unjudged);
    await this.#keepRefused(results);
    const retry = [...unjudged].filter(
      ([site, reason]) => reason === waitingForReplay || (fresh.get(site) ?? []).some(({ event }) => event.rank === 0),
    );
    return { results, changes, entries, waiting: retry.map(([site]) => site) };
  }

  /** Sort out what cannot be taken and what came before; append the rest. */
  async #append(open: ReadonlyMap<string, OpenSite>): Promise<{ fates: Fate[]; fresh: Map<string, Incoming[]> }> {
    const known = new KnownNames(this.#batch, open);
    await known.prepare(this.#tx, this.#organisation, this.#batch);
    const first = new Map<string, Incoming>();
    const faults = this.#batch.map((incoming) => {
      const fault = known.faultOf(incoming.event);
      const key = keyOf(incoming.event);
      if (fault === undefined && !first.has(key)) first.set(key, incoming);
      return fault;
    });
    const holders = await append(this.#tx, this.#organisation, [...first.values()], this.#ledger.now());
    const fates = this.#batch.map((incoming, index): Fate => {
      const fault = faults[index];
      if (fault !== undefined) return { status: 'rejected', faults: [fault] };
      const key = keyOf(incoming.event);
      const appended = first.get(key);
      const holder = holders.get(key);
      if (holder === undefined && appended === incoming) return { status: 'accepted' };
      const before = holder ?? (appended === undefined ? undefined : holderOf(appended));
      if (before?.hash === incoming.hash && before.site === incoming.event.site) return { status: 'duplicate' };
      return { status: 'rejected', faults: [conflict(incoming, before)] };
    });
    const fresh = new Map<string, Incoming[]>();
    for (const [key, incoming] of first) {
      if (holders.has(key)) continue;
      const ofSite = fresh.get(incoming.event.site);
      if (ofSite === undefined) fresh.set(incoming.event.site, [incoming]);
      else ofSite.push(incoming);
    }
    for (const events of fresh.values()) events.sort((a, b) => compareKeys(a.event, b.event));
    return { fates, fresh };
  }

  /** Note new retractions. @returns the sites where one takes back an event that was folded before this batch. */
  async #retract(
    open: ReadonlyMap<string, OpenSite>,
    fresh: ReadonlyMap<string, readonly Incoming[]>,
  ): Promise<Set<string>> {
    const targets: { readonly source: string; readonly id: string; readonly site: string }[] = [];
    for (const [site, events] of fresh) {
      for (const { event } of events) {
        if (event.type !== 'event.retracted') continue;
        const { source, id } = event.data;
        open.get(site)?.entry?.retracted.add(keyOf({ source, id }));
        if (!events.some((other) => keyOf(other.event) === keyOf({ source, id }))) targets.push({ source, id, site });
      }
    }
    const holders = new Map(
      (await holdersOf(this.#tx, this.#organisation, targets)).map((holder) => [keyOf(holder), holder]),
    );
    return new Set(
      targets.filter((target) => holders.get(keyOf(target))?.site === target.site).map(({ site }) => site),
    );
  }

  /** @returns the reason if the site cannot be judged now. */
  async #fold(
    { head, entry, unjudged }: OpenSite,
    events: readonly Incoming[],
    takesBack: boolean,
  ): Promise<string | { readonly entry: SiteEntry; readonly judged: Judged }> {
    if (entry === undefined) return unjudged ?? waitingForReplay;
    const { book, fold, counters, replayInline } = this.#ledger;
    const { last } = entry.state;
    const otherPacks = head.packs_hash !== book.hash;
    const isLate =
      last !== null && events.some(({ event }) => counts(event, entry.retracted) && compareKeys(event, last) <= 0);
    try {
      let after: SiteEntry;
      let folded: Folded;
      if (otherPacks || isLate || takesBack) {
        if (head.events > replayInline) return waitingForReplay;
        counters.replays += 1;
        const replayed = await replay((work) => work(this.#tx), this.#ledger, this.#organisation, head.site);
        folded = wholeOf(fold, book, replayed, head.swept_to);
        after = { version: head.version, state: replayed.state, retracted: replayed.retracted };
      } else {
        folded = stepOn(
          fold,
          book,
          entry,
          events.map(({ event }) => event),
          head.swept_to,
        );
        after = { ...entry, version: head.version };
      }
      standAt(head, after, folded, book.hash);
      return {
        entry: after,
        judged: { head, folded, cause: otherPacks ? 'replay' : isLate || takesBack ? 'late' : 'live' },
      };
    } catch (error) {
      return foldFailure(this.#ledger, this.#organisation, head.site, error);
    }
  }

  async #results(
    fates: readonly Fate[],
    fresh: ReadonlyMap<string, readonly Incoming[]>,
    judged: readonly Judged[],
    unjudged: ReadonlyMap<string, string>,
  ): Promise<EventResult[]> {
    const named = new Map<string, string[]>();
    for (const { head, folded } of judged) nameFindings(named, folded.said.values(), fresh.get(head.site) ?? []);
    const old = new Map<string, Incoming['event']>();
    fates.forEach(({ status }, index) => {
      const event = this.#batch[index]?.event;
      if (status !== 'duplicate' || event === undefined) return;
      const appended = fresh.get(event.site)?.some((other) => keyOf(other.event) === keyOf(event)) ?? false;
      if (!appended) old.set(keyOf(event), event);
    });
    const places = [...old.values()].map(({ source, id, site, at }) => ({ source, id, site, at }));
    for (const { source, id, finding } of await findingsNaming(this.#tx, this.#organisation, places)) {
      push(named, keyOf({ source, id }), finding);
    }
    return this.#batch.map(({ event: { source, id, site } }, index): EventResult => {
      const fate = fates[index];
      if (fate === undefined || fate.status === 'rejected') {
        return { source, id, status: 'rejected', findings: [], faults: fate?.faults ?? [] };
      }
      const findings = named.get(keyOf({ source, id })) ?? [];
      const pending = unjudged.has(site) ? { judgement: 'pending' as const } : {};
      return { source, id, status: fate.status, findings, ...pending };
    });
  }

  async #keepRefused(results: readonly EventResult[]): Promise<void> {
    const refusals = results.flatMap(({ status, faults = [] }, index) => {
      const event = this.#batch[index]?.event;
      return status !== 'rejected' || event === undefined ? [] : [{ ...event, faults }];
    });
    await keepRefusals(this.#tx, this.#organisation, refusals, this.#ledger.now());
  }
}

/** The head of a site whose fold stands at its last event. */
export function standAt(head: SiteHead, entry: SiteEntry, folded: Folded, packsHash: string): void {
  const { last } = entry.state;
  head.last_at = last?.at ?? null;
  head.last_rank = last?.rank ?? null;
  head.last_source = last?.source ?? null;
  head.last_id = last?.id ?? null;
  head.next_due = folded.nextDue;
  head.packs_hash = packsHash;
  head.unjudged = null;
}

function holderOf({ event: { source, id, site }, hash }: Incoming): KeyHolder {
  return { source, id, site, hash };
}

function conflict({ event }: Incoming, holder: KeyHolder | undefined): EventFault {
  const where =
    holder !== undefined && holder.site !== event.site ? ` at the site ${holder.site}` : ' with other content';
  return {
    pointer: '/id',
    code: 'id-conflict',
    message: `${event.source} sent an event with the id ${event.id}${where} before; take that back (event.retracted) or send this under a new id.`,
  };
}

/** Which findings speak of which of these events, in order of opening. */
function nameFindings(named: Map<string, string[]>, findings: Iterable<Finding>, events: readonly Incoming[]): void {
  const wanted = new Set(events.map(({ event }) => keyOf(event)));
  const inOrder = [...findings].sort((a, b) => a.openedAt - b.openedAt || (a.id < b.id ? -1 : 1));
  for (const { id, evidence, closedBy } of inOrder) {
    const keys = new Set(evidence.map(keyOf));
    if (closedBy !== undefined && 'source' in closedBy) keys.add(keyOf(closedBy));
    for (const key of keys) if (wanted.has(key)) push(named, key, id);
  }
}

function push(map: Map<string, string[]>, key: string, value: string): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
