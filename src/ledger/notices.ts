import type { Transaction } from '../db/port.js';
import { findAddressed } from '../db/sql/find-addressed.js';
import type { AnyEvent } from '../events/event.js';
import { parseInstant } from '../events/instant.js';
import type { PackBook } from '../packs/book.js';
import { unspoken } from '../packs/jurisdictions.js';
import { keyOf } from './read.js';

/**
 * What has to be said of events that were taken, but not to the effect that was probably meant, by `keyOf`: a
 * configuration whose law no pack speaks of, people's words about a finding that is not there (they are kept, and attach
 * when there is one, law L10). The changes of the batch must be written.
 */
export async function noticesOf(
  tx: Transaction,
  organisation: string,
  book: PackBook,
  events: readonly AnyEvent[],
): Promise<Map<string, string>> {
  const notices = new Map<string, string>();
  const addressed: AnyEvent[] = [];
  for (const event of events) {
    if (event.type === 'site.configured') {
      const says = unspoken(book, event.data, event.at).map(({ text }) => text);
      if (says.length > 0) notices.set(keyOf(event), says.join(' '));
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
