import type { Transaction } from '../db/port.js';
import { compareKeys, type OrderKey } from '../events/order.js';
import type { PlacedChange } from '../findings/store.js';
import { answersFor, type Fate } from './answers.js';
import { keepCheckpoints } from './checkpoints.js';
import { append, holdersOf, type KeyHolder } from './append.js';
import type { Ledger } from './context.js';
import { saveHeads, type SiteHead } from './heads.js';
import { judgeSite } from './judge-site.js';
import { KnownNames } from './known.js';
import { noticesOf } from './notices.js';
import { openSites, type OpenSite, waitingForReplay } from './open-sites.js';
import { keyOf } from './read.js';
import { keepRefusals } from './rejected.js';
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
    const work = (tx: Transaction) => new Batch(tx, ledger, organisation, batch).run(held);
    const done = await ledger.database.withOrganisation(organisation, work, { grows: true });
    entries = done.entries;
    return done;
  } finally {
    for (const site of held) ledger.cache.release(organisation, site, entries.get(site));
  }
}

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
    const { judging, open } = await openSites(this.#tx, this.#ledger, this.#organisation, this.#batch, held);
    const { fates, fresh } = await this.#append(open, judging.book.obligations);
    const judged: Judged[] = [];
    const heads: SiteHead[] = [];
    const entries = new Map<string, SiteEntry>();
    const unjudged = new Map<string, string>();
    const takenBack = await this.#retract(open, fresh);
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
      const answer = await judgeSite(this.#tx, judging, this.#organisation, place, events, takenBack.get(site));
      const made = 'unjudged' in answer ? [] : answer.made;
      if (made.length > 0 || answer.overtaken.length > 0)
        await keepCheckpoints(this.#tx, this.#ledger, this.#organisation, site, made, answer.overtaken);
      if ('unjudged' in answer) {
        head.unjudged = answer.unjudged;
        unjudged.set(site, answer.unjudged);
      } else {
        entries.set(site, answer.entry);
        judged.push(answer.judged);
      }
    }
    const changes = await settle(this.#tx, judging, this.#organisation, judged, now());
    await saveHeads(this.#tx, this.#organisation, heads, now());
    const taken = this.#batch.filter((_, index) => fates[index]?.status !== 'rejected').map(({ event }) => event);
    const states = (site: string) => entries.get(site)?.state;
    const notices = noticesOf(judging.book, taken, states);
    const fared = { fates, fresh, judged, unjudged, notices };
    const results = await answersFor(this.#tx, this.#organisation, this.#batch, fared);
    await this.#keepRefused(results);
    const retry = [...unjudged].filter(
      ([site, reason]) => reason === waitingForReplay || (fresh.get(site) ?? []).some(({ event }) => event.rank === 0),
    );
    return { results, changes, entries, waiting: retry.map(([site]) => site) };
  }

  /** Sort out what cannot be taken and what came before; append the rest. */
  async #append(
    open: ReadonlyMap<string, OpenSite>,
    obligations: ReadonlySet<string>,
  ): Promise<{ fates: Fate[]; fresh: Map<string, Incoming[]> }> {
    const known = new KnownNames(this.#batch, open, obligations);
    await known.prepare(this.#tx, this.#organisation, this.#batch);
    const first = new Map<string, Incoming>();
    const faults = this.#batch.map((incoming) => {
      const fault = known.faultOf(incoming);
      const key = keyOf(incoming.event);
      if (fault === undefined && !first.has(key)) first.set(key, incoming);
      return fault;
    });
    const holders = await append(this.#tx, this.#organisation, [...first.values()], this.#ledger.now());
    // What was accepted once is a repetition, whatever packs have known since.
    const refused = this.#batch.filter((_, index) => faults[index] !== undefined).map(({ event }) => event);
    const earlier = new Map((await holdersOf(this.#tx, this.#organisation, refused)).map((one) => [keyOf(one), one]));
    const fates = this.#batch.map((incoming, index): Fate => {
      const fault = faults[index];
      const key = keyOf(incoming.event);
      if (fault !== undefined) {
        const repeated = earlier.get(key)?.hash === incoming.hash;
        return repeated ? { status: 'duplicate' } : { status: 'rejected', faults: [fault] };
      }
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

  /** Note new retractions. @returns by site, the earliest place of an event taken back that was folded before. */
  async #retract(
    open: ReadonlyMap<string, OpenSite>,
    fresh: ReadonlyMap<string, readonly Incoming[]>,
  ): Promise<Map<string, OrderKey>> {
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
    const places = new Map<string, OrderKey>();
    for (const target of targets) {
      const holder = holders.get(keyOf(target));
      if (holder?.site !== target.site || (places.get(target.site)?.at ?? Infinity) <= holder.at) continue;
      // The holder's rank is not at hand: before everything of its instant is early enough.
      places.set(target.site, { at: holder.at, rank: -1, source: '', id: '' });
    }
    return places;
  }

  async #keepRefused(results: readonly EventResult[]): Promise<void> {
    const refusals = results.flatMap(({ status, faults = [] }, index) => {
      const event = this.#batch[index]?.event;
      return status !== 'rejected' || event === undefined ? [] : [{ ...event, faults }];
    });
    await keepRefusals(this.#tx, this.#organisation, refusals, this.#ledger.now());
  }
}

function holderOf({ event: { source, id, site, at }, hash }: Incoming): KeyHolder {
  return { source, id, site, hash, at };
}

function conflict({ event, sees }: Incoming, holder: KeyHolder | undefined): EventFault {
  const elsewhere = holder !== undefined && holder.site !== event.site;
  const named = elsewhere && (sees?.includes(holder.site) ?? true);
  const where = named ? ` at the site ${holder.site}` : elsewhere ? ' at another site' : ' with other content';
  return {
    pointer: '/id',
    code: 'id-conflict',
    message: `The sender ${event.source} sent an event with the id ${event.id}${where} before; take that back (event.retracted) or send this under a new id.`,
  };
}
