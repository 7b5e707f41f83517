import type { SiteState } from '../engine/state.js';
import { tanks } from '../engine/round.js';
import { nearest } from '../events/nearest.js';
import type { AnyEvent, LedgerEvent } from '../events/event.js';
import type { PackBook } from '../packs/book.js';
import { unspoken } from '../packs/jurisdictions.js';
import { keyOf } from './read.js';

/**
 * What has to be said of events that were taken, but not to the effect that was probably meant, by `keyOf`: a
 * configuration whose law no pack speaks of, a temperature of no bath in particular, a run by another method than its line
 * is set up for, a cause that no pack knows, people's words about a finding that is not there, or no longer at work (they are kept, and attach when
 * there is one, law L10).
 * @param states of the sites that could be judged.
 */
export function noticesOf(
  book: PackBook,
  events: readonly AnyEvent[],
  states: (site: string) => SiteState | undefined,
): Map<string, string> {
  const notices = new Map<string, string>();
  for (const event of events) {
    const says = noticeOf(book, event, states(event.site));
    if (says !== undefined) notices.set(keyOf(event), says);
  }
  return notices;
}

function noticeOf(book: PackBook, event: AnyEvent, state: SiteState | undefined): string | undefined {
  if (event.type === 'site.configured') {
    const says = unspoken(book, event.data, event.at).map(({ text }) => text);
    return says.length === 0 ? undefined : says.join(' ');
  }
  if (event.type === 'day.opened') return unplaced(event, state);
  if (event.type === 'film.processed') return unusual(event, state);
  const orphan = state?.orphans?.find(({ ref }) => keyOf(ref) === keyOf(event));
  if (orphan === undefined) return event.type === 'cause.confirmed' ? unlearned(book, event, state) : undefined;
  const { finding, rule, topic } = orphan;
  const what = finding === undefined ? `finding of ${rule} about ${topic}` : `finding ${finding}`;
  return `There is no ${what} at the site ${event.site} that this could be attached to. It is kept, and will count for one that covers it.`;
}

/** What was confirmed teaches only where packs know it as one cause. */
function unlearned(
  book: PackBook,
  { at, data: { rootCause } }: LedgerEvent<'cause.confirmed'>,
  state: SiteState | undefined,
): string | undefined {
  if (state?.site === null || state === undefined) return undefined;
  const { causes } = book.at(at, state.site).defects;
  const known = causes.get(rootCause);
  if (known === undefined) {
    const near = nearest(rootCause, [...causes.keys()]);
    return `${rootCause} is no cause that the packs know${near === undefined ? '.' : `; did you mean ${near}?`} It is kept as it was said, and teaches nothing.`;
  }
  if (known.prior > 0) return undefined;
  return `${rootCause} is a name for several causes: ${(known.of ?? []).join(', ')}. It is kept as it was said, and teaches nothing; confirm one of them.`;
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
