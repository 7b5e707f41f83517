import fc from 'fast-check';
import type { SentEvent } from '../../src/cli/demo/teller.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { keyOf } from '../../src/ledger/read.js';
import { days, histories } from '../oracle/histories.js';
import type { Chance } from './chance.js';

/** The made-up year begins with the generated histories. */
export const began = Date.parse('2026-01-02T08:00:00Z');
export const span = days * 86_400_000;

export interface Load {
  readonly sites: readonly string[];
  /** First configurations, which must be in before anything else of their sites. */
  readonly first: readonly SentEvent[];
  /** Batches over several sites, in about the order in which they happened; some events are in more than one. */
  readonly batches: readonly (readonly SentEvent[])[];
  /** By `keyOf`, as intake reads them. */
  readonly events: ReadonlyMap<string, { readonly event: AnyEvent; readonly hash: string }>;
}

/**
 * Histories of several sites, mixed: most events come soon after they happened, some much later, some more than once.
 * @param size events a site.
 */
export function makeLoad(chance: Chance, sites: number, size: number): Load {
  const seed = chance.below(2 ** 31);
  const drawn = fc.sample(histories({ min: size, max: size }), { seed, numRuns: sites });
  const names = drawn.map((_, index) => `site-${index + 1}`);
  const told = drawn.map(({ events }, index) =>
    events.map((event) => ({
      ...event,
      site: names[index] ?? '',
      source: `${event.source}-${index + 1}`,
      ...aimed(event, index),
    })),
  );
  const first = told.flatMap(([event]) => event ?? []);
  const rest = told.flatMap((events) => events.slice(1));
  const arrivals = rest.flatMap((event) => {
    const at = Date.parse(event.time);
    const delay = chance.next() < 0.15 ? chance.between(0, 30) : chance.between(0, 0.5);
    const once = { event, at: at + delay * 86_400_000 };
    return chance.next() < 0.1 ? [once, { event, at: once.at + chance.between(0, 5) * 86_400_000 }] : [once];
  });
  arrivals.sort((a, b) => a.at - b.at);
  const batches: SentEvent[][] = [];
  for (let at = 0; at < arrivals.length;) {
    const length = 1 + chance.below(10);
    batches.push(arrivals.slice(at, at + length).map(({ event }) => event));
    at += length;
  }
  const events = new Map(
    told.flat().map((sent) => {
      const read = decode(sent, { now: began + 3 * span, hashPatient: (token) => token });
      if (!read.ok) throw new Error(`${sent.type} is not an event: ${JSON.stringify(read.faults)}`);
      return [keyOf(sent), { event: read.event as AnyEvent, hash: read.hash }];
    }),
  );
  return { sites: names, first, batches, events };
}

/** A retraction names its target by a sender that is another one at each site. */
function aimed({ type, data }: SentEvent, index: number): { data?: SentEvent['data'] } {
  if (type !== 'event.retracted') return {};
  return { data: { ...data, source: `${String(data['source'])}-${index + 1}` } };
}
