import type { Transaction } from '../db/port.js';
import { findAddressed } from '../db/sql/find-addressed.js';
import type { SiteState } from '../engine/state.js';
import { tanks } from '../engine/round.js';
import type { AnyEvent, LedgerEvent } from '../events/event.js';
import { parseInstant } from '../events/instant.js';
import type { PackBook } from '../packs/book.js';
import { unspoken } from '../packs/jurisdictions.js';
import { keyOf } from './read.js';

/**
 * What has to be said of events that were taken, but not to the effect that was probably meant, by `keyOf`: a
 * configuration whose law no pack speaks of, a temperature of no bath in particular, a run by another method than its line
 * is set up for, people's words about a finding that is not there (they are kept, and attach when there is one, law L10).
 * The changes of the batch must be written.
 * @param states of the sites that could be judged.
 */
export async function noticesOf(
  tx: Transaction,
  organisation: string,
  book: PackBook,
  events: readonly AnyEvent[],
  states: (site: string) => SiteState | undefined,
): Promise<Map<string, string>> {
  const notices = new Map<string, string>();
  const addressed: AnyEvent[] = [];
  for (const event of events) {
    if (event.type === 'site.configured') {
      const says = unspoken(book, event.data, event.at).map(({ text }) => text);
      if (says.length > 0) notices.set(keyOf(event), says.join(' '));
    } else if (event.type === 'day.opened') {
      const says = unplaced(event, states(event.site));
      if (says !== undefined) notices.set(keyOf(event), says);
    } else if (event.type === 'film.processed') {
      const says = unusual(event, states(event.site));
      if (says !== undefined) notices.set(keyOf(event), says);
    } else if (isAboutFinding(event)) addressed.push(event);
  }
  for (const event of await withoutFinding(tx, organisation, addressed)) {
    const { finding, rule, topic } = event.data as Address;
    const what = finding === undefined ? `finding of ${rule} about ${topic}` : `finding ${finding}`;
    const text = `There was no ${what} at the site ${event.site} then. This is kept, and will count for one that covers it.`;
    notices.set(keyOf(event), text);
  }
  return notices;
}

/** A thermometer stands in one bath; with several tanks a round of the whole office does not say in which. */
function unplaced({ data }: LedgerEvent<'day.opened'>, state: SiteState | undefined): string | undefined {
  if (data.line !== undefined || data.temperature === undefined || state === undefined) return undefined;
  const lines = tanks(state).map(({ id }) => id);
  if (lines.length === 1) return undefined;
  const named = lines.length === 0 ? '' : ` (${lines.slice(0, 20).join(', ')})`;
  return `The temperature counts for no bath: say which line was read${named}, in a day.opened or bath.measured of its own.`;
}

/** A processor that stands still and is used as a tank, or a word that slipped: only the office knows which. */
function unusual({ data }: LedgerEvent<'film.processed'>, state: SiteState | undefined): string | undefined {
  const method = state?.lines[data.line]?.config.method;
  if (method === undefined || method === data.method) return undefined;
  return `${data.line} is set up as ${method}; this run says ${data.method} and is judged as such.`;
}

interface Address {
  readonly finding?: string;
  readonly rule?: string;
  readonly topic?: string;
  readonly instant?: string;
}

function isAboutFinding({ type }: AnyEvent): boolean {
  return type.startsWith('finding.') || type === 'cause.confirmed';
}

async function withoutFinding(tx: Transaction, organisation: string, events: readonly AnyEvent[]): Promise<AnyEvent[]> {
  if (events.length === 0) return [];
  const asked = events.map(({ site, at, data }, index) => {
    const { finding, rule, topic, instant } = data as Address;
    return { index, site, at, finding, rule, topic, instant: instant === undefined ? at : parseInstant(instant) };
  });
  const found = await tx.query<{ index: number }>(findAddressed, organisation, JSON.stringify(asked));
  const there = new Set(found.map(({ index }) => index));
  return events.filter((_, index) => !there.has(index));
}
