import type { Database } from './port.js';
import { sqlState } from './errors.js';
import { arrangeLedger, ledgerParts } from './sql/arrange-ledger.js';

const day = 86_400_000;

export interface Arrangement {
  /** Days ahead of now up to whose month there are parts: time for somebody to notice that the job does not run. */
  readonly ahead?: number;
  /** Days back to which months are made for rows that came with no month; what is older stays in the early end. */
  readonly back?: number;
  /** Rows that may move at once: the ledger is locked meanwhile. */
  readonly mostRows?: number;
}

/** Ten years of months and a quarter ahead; more parts would cost every read of a whole ledger its planning. */
const usual: Required<Arrangement> = { ahead: 92, back: 3653, mostRows: 500_000 };

/** What an arrangement did: the parts it made; or `busy`, others having held the ledger for longer than it waits. */
export type Arranged = { readonly made: readonly string[] } | { readonly busy: true };

/**
 * Sees to it that the months around `now` (ms) have their own parts of the ledger. Events are accepted whether or not
 * it ever runs: what has no month lies in one of the open ends, and moves when it has.
 */
export async function arrangeMonths(database: Database, now: number, options: Arrangement = {}): Promise<Arranged> {
  const { ahead, back, mostRows } = { ...usual, ...options };
  try {
    const [row] = await database.withOrganisation('', (tx) =>
      tx.query<{ made: string[] }>(arrangeLedger, now - back * day, now + ahead * day, mostRows),
    );
    return { made: row?.made ?? [] };
  } catch (error) {
    if (sqlState(error) === '55P03') return { busy: true };
    throw error;
  }
}

export interface LedgerPart {
  readonly name: string;
  /** First instant (ms) in it, and the first after it; null: open. */
  readonly from: number | null;
  readonly to: number | null;
}

/** The parts of the ledger in order of time. */
export async function partsOfLedger(database: Database): Promise<LedgerPart[]> {
  const rows = await database.withOrganisation('', (tx) => tx.query<{ name: string; bounds: string }>(ledgerParts));
  return rows.map(({ name, bounds }) => ({ name, from: bound(bounds, 'FROM'), to: bound(bounds, 'TO') }));
}

function bound(bounds: string, end: 'FROM' | 'TO'): number | null {
  const found = new RegExp(`${end} \\('?(-?\\d+)`).exec(bounds)?.[1];
  return found === undefined ? null : Number(found);
}
