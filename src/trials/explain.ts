import { DateTime } from 'luxon';
import { effectiveLimits, type EffectiveLimit } from '../engine/limits.js';
import type { SiteState } from '../engine/state.js';
import { decode } from '../events/decode.js';
import type { AnyEvent } from '../events/event.js';
import { nearest } from '../events/nearest.js';
import type { PackBook } from '../packs/book.js';
import { facts } from '../packs/facts.js';
import { foldSite } from './fold-site.js';

/** A place without a ledger: whose law holds there, and one line by its method. */
export interface BarePlace {
  readonly jurisdictions: readonly string[];
  readonly zone: string;
  readonly method: string;
  readonly chemistry?: string | undefined;
  readonly product?: string | undefined;
}

/** What was asked cannot be told; the message is a sentence. */
export class ExplainError extends Error {
  override readonly name = 'ExplainError';
}

/**
 * The state of a site that was set up a moment before `at` (ms) and has recorded nothing.
 * @throws ExplainError when the catalogue refuses the place.
 */
export function bareState(place: BarePlace, at: number, book: PackBook): SiteState {
  const { zone, jurisdictions, method, chemistry, product } = place;
  const line = { id: method, method, ...(chemistry && { chemistry }), ...(product && { product }) };
  const begun = DateTime.fromMillis(at, { zone }).startOf('day').toMillis();
  const decoded = decode(
    {
      ...{ specversion: '1.0', type: 'site.configured', source: 'explain', id: '1', site: 'here' },
      time: new Date(Number.isNaN(begun) ? at : begun).toISOString(),
      data: { name: 'here', zone, jurisdictions, lines: [line], tubes: [] },
    },
    { now: at, hashPatient: (token) => token },
  );
  if (!decoded.ok)
    throw new ExplainError(decoded.faults.map(({ pointer, message }) => `${pointer} ${message}`).join('; '));
  return foldSite([decoded.event as AnyEvent], book, at).state;
}

/**
 * What is to be said of a quantity, a limit by its name or a fact, at a site as of `at` (ms): for each limit a heading and
 * its sentences, lines of which the same is true together.
 * @throws ExplainError when no pack and no fact has that name, with the nearest that there is.
 */
export function explain(state: SiteState, at: number, book: PackBook, quantity: string): string[][] {
  const ids = new Set(book.packs.flatMap(({ limits }) => limits.map(({ id }) => id)));
  if (!ids.has(quantity) && !facts.has(quantity)) {
    const near = nearest(quantity, [...ids, ...facts.keys()]);
    const hint = near === undefined ? '' : ` Did you mean ${near}?`;
    throw new ExplainError(`No pack has a limit ${quantity}, and there is no such fact.${hint}`);
  }
  const found = effectiveLimits(state, at, book).filter(({ limit, of }) => limit === quantity || of === quantity);
  return found.length > 0 ? together(found) : [nobody(book, quantity)];
}

/** One heading for the lines of which the same is told. */
function together(limits: readonly EffectiveLimit[]): string[][] {
  const groups = new Map<string, { first: EffectiveLimit; lines: string[] }>();
  for (const limit of limits) {
    const key = JSON.stringify([limit.limit, limit.told.slice(1)]);
    const group = groups.get(key);
    if (group === undefined) groups.set(key, { first: limit, lines: limit.line === undefined ? [] : [limit.line] });
    else if (limit.line !== undefined) group.lines.push(limit.line);
  }
  return [...groups.values()].map(({ first, lines }) => {
    const [heading = '', ...told] = first.told;
    const one = ` on line ${first.line}:`;
    return [lines.length > 1 ? heading.replace(one, ` on lines ${lines.join(', ')}:`) : heading, ...told];
  });
}

function nobody(book: PackBook, quantity: string): string[] {
  const elsewhere = book.packs.filter(({ limits }) => limits.some(({ id, of }) => id === quantity || of === quantity));
  const heading = `${quantity}: no limit on it is in force here, none begins within 60 days, none ended within a year.`;
  if (elsewhere.length === 0) return [heading, 'No pack has one anywhere.'];
  const places = elsewhere.map(({ id, jurisdiction, from, to }) => {
    const when = [from && `from ${from}`, to && `to ${to}`].filter(Boolean).join(' ');
    return [id, jurisdiction && `(${jurisdiction})`, when].filter(Boolean).join(' ');
  });
  return [heading, `Packs that have one elsewhere or for other lines: ${[...new Set(places)].join('; ')}.`];
}
