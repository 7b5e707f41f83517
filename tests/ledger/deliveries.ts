import fc from 'fast-check';
import type { Incoming } from '../../src/ledger/results.js';
import { arbitraryHistory, exampleSite } from '../events/generate.js';
import { days, histories } from '../oracle/histories.js';
import { books } from '../oracle/publications.js';
import { told } from './office.js';

/**
 * Histories of one to three sites and the way they reach the ledger: mixed up, cut into batches that hold several sites,
 * repeated, taken by one of two processes that are restarted with other packs, with sweeps in between.
 */
export interface Delivery {
  readonly sites: readonly { readonly id: string; readonly events: readonly Incoming[] }[];
  readonly batches: readonly Batch[];
  /** The packs in force in the end, by their place in `books`. */
  readonly packs: number;
  /** The instant at which all is looked at in the end, ms; after everything. */
  readonly until: number;
}
export interface Batch {
  readonly events: readonly Incoming[];
  readonly process: number;
  /** Done after it: time passes, seen by one sweeper or by both at once; the process is restarted with other packs. */
  readonly then: readonly ({ readonly sweep: 1 | 2; readonly at: number } | { readonly packs: number })[];
}

const start = Date.parse('2026-01-02T08:00:00Z');
const day = 86_400_000;

const site = (id: string, most: number) =>
  fc
    .record({
      told: histories({ min: 4, max: most }),
      // Of every type of event, also those that no rule reads; the same lines and units.
      any: arbitraryHistory(exampleSite, { siteId: id, to: start + (days - 1) * day, max: Math.ceil(most / 2) }),
    })
    .map(({ told: { events, until }, any }) => ({
      id,
      until,
      events: [...events, ...any].map(({ type, time, data, source, id: name }) => {
        // Senders of a site's own: a key is taken once in the whole organisation.
        const own = (sender: unknown) => `${String(sender)}/${id}`;
        const content = type === 'event.retracted' ? { ...data, source: own(data['source']) } : data;
        return told(type, time, content, { site: id, source: own(source), id: name });
      }),
    }));

const after = fc.oneof(
  { arbitrary: fc.constant([]), weight: 5 },
  {
    arbitrary: fc
      .record({ sweep: fc.constantFrom(1 as const, 2 as const), at: fc.integer({ min: 0, max: days * 24 }) })
      .map(({ sweep, at }) => [{ sweep, at: start + (at * day) / 24 }]),
    weight: 3,
  },
  { arbitrary: fc.nat(books.length - 1).map((packs) => [{ packs }]), weight: 2 },
);

/** @param most told events of a site. */
export function deliveries(most: number): fc.Arbitrary<Delivery> {
  return fc
    .record({
      sites: fc
        .integer({ min: 1, max: 3 })
        .chain((count) => fc.tuple(...['north', 'south', 'west'].slice(0, count).map((id) => site(id, most)))),
      order: fc.array(fc.nat(9999), { minLength: 300, maxLength: 300 }),
      lateness: fc.constantFrom(0, 0.05, 0.3, 1),
      // Some events come one by one when all others are there.
      stragglers: fc.boolean(),
      cuts: fc.array(fc.integer({ min: 1, max: 14 }), { minLength: 300, maxLength: 300 }),
      repeats: fc.array(fc.nat(6), { minLength: 300, maxLength: 300 }),
      process: fc.array(fc.nat(3), { minLength: 300, maxLength: 300 }),
      then: fc.array(after, { minLength: 300, maxLength: 300 }),
      packs: fc.nat(books.length - 1),
    })
    .map(({ sites, order, lateness, stragglers, cuts, repeats, process, then, packs }): Delivery => {
      // A site begins with its configuration; everything else may come at any time.
      const first = sites.flatMap(({ events }) => events.slice(0, 1));
      const rest = sites
        .flatMap(({ events }) => events.slice(1))
        .sort((a, b) => a.event.at - b.event.at)
        .map((event, index, all) => ({
          event,
          place:
            stragglers && (order[index % 300] ?? 0) % 5 === 0
              ? 3 + (order[index % 300] ?? 0)
              : index / all.length + (lateness * (order[index % 300] ?? 0)) / 9999,
        }))
        .sort((a, b) => a.place - b.place);
      const together = first.length + rest.filter(({ place }) => place < 3).length;
      const batches: Batch[] = [];
      const all = [...first, ...rest.map(({ event }) => event)];
      for (let at = 0, nth = 0; at < all.length; nth++) {
        const usual = nth === 0 ? Math.max(first.length, cuts[0] ?? 1) : (cuts[nth % 300] ?? 1);
        const size = at >= together ? 1 : Math.min(usual, together - at);
        const fresh = all.slice(at, at + size);
        const again = repeats[nth % 300] === 0 ? all.slice(Math.max(0, at - 9), at + 2) : [];
        at += size;
        const events = (order[nth % 300] ?? 0) % 2 === 0 ? [...again, ...fresh] : [...fresh, ...again].reverse();
        batches.push({ events, process: process[nth % 300] === 0 ? 1 : 0, then: then[nth % 300] ?? [] });
      }
      return {
        sites: sites.map(({ id, events }) => ({ id, events })),
        batches,
        packs,
        until: Math.max(...sites.map(({ until }) => until)),
      };
    });
}
