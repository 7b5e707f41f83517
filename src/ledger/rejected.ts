import type { Transaction } from '../db/port.js';
import { forgetRejected, recordRejected } from '../db/sql/rejected-events.js';
import type { EventFault } from './results.js';

/** How long a refused event can be read. */
export const rejectedDays = 30;

/** What is kept of a refused event: its envelope as far as it could be read, and what was wrong. */
export interface Refusal {
  readonly source?: unknown;
  readonly id?: unknown;
  readonly site?: unknown;
  readonly type?: unknown;
  readonly faults: readonly EventFault[];
}

const longest = { envelope: 200, message: 500, faults: 20 };

export async function keepRefusals(
  tx: Transaction,
  organisation: string,
  refusals: readonly Refusal[],
  now: number,
): Promise<void> {
  if (refusals.length === 0) return;
  const rows = refusals.map(({ source, id, site, type, faults }) => ({
    source: envelope(source),
    id: envelope(id),
    site: envelope(site),
    type: envelope(type),
    faults: faults.slice(0, longest.faults).map((fault) => ({
      pointer: storable(fault.pointer),
      code: storable(fault.code),
      message: storable(fault.message),
      ...(fault.nearest === undefined ? {} : { nearest: storable(fault.nearest) }),
    })),
  }));
  await tx.execute(recordRejected, organisation, JSON.stringify(rows), now);
}

/** Forget refusals older than `rejectedDays`. */
export async function forgetRefusals(tx: Transaction, organisation: string, now: number): Promise<number> {
  return tx.execute(forgetRejected, organisation, now - rejectedDays * 86_400_000);
}

/** A refused event may hold anything at all; what is no short text is left out. */
function envelope(value: unknown): string | null {
  return typeof value === 'string' && value.length <= longest.envelope ? storable(value) : null;
}

/** PostgreSQL takes neither the character NUL nor half of a surrogate pair. */
function storable(text: string): string {
  return Buffer.from(text.slice(0, longest.message)).toString().replaceAll('\u0000', '\ufffd');
}
