import { createHash } from 'node:crypto';
import { canonicalJson } from '../canonical-json.js';
import type { Database, Transaction } from '../db/port.js';
import { appendAdminChange, endOfAdminChain, lockAdminChain, readAdminChain } from '../db/sql/admin-changes.js';

/** One row of the chain; `hash` covers everything else in it and the hash before. `at` in ms. */
export interface AdminRow {
  readonly seq: number;
  readonly at: number;
  readonly actor: string;
  readonly change: string;
  readonly content: unknown;
  readonly previous_hash: string;
  readonly hash: string;
}

/** Record what an administrator did, in the organisation's own chain. `at` in ms. */
export async function recordAdmin(
  tx: Transaction,
  organisation: string,
  {
    at,
    actor,
    change,
    content,
  }: { readonly at: number; readonly actor: string; readonly change: string; readonly content: object },
): Promise<void> {
  await tx.query(lockAdminChain, organisation);
  const [end] = await tx.query<{ seq: number; hash: string }>(endOfAdminChain, organisation);
  const row = { seq: (end?.seq ?? 0) + 1, at, actor, change, content, previous_hash: end?.hash ?? '' };
  const text = canonicalJson(content);
  await tx.execute(appendAdminChange, organisation, row.seq, at, actor, change, text, row.previous_hash, hashOf(row));
}

export interface AdminReport {
  readonly rows: number;
  readonly intact: boolean;
  /** The first row that does not hold. */
  readonly brokenAt?: number;
}

/** Whether the chain of administration holds; else the first row at which it does not. */
export async function verifyAdminAudit(database: Database, organisation: string): Promise<AdminReport> {
  return database.withOrganisation(organisation, (tx) => verifyAdminAuditIn(tx, organisation));
}

export async function verifyAdminAuditIn(tx: Transaction, organisation: string): Promise<AdminReport> {
  const rows = await tx.query<AdminRow>(readAdminChain, organisation);
  let end = { seq: 0, hash: '' };
  for (const row of rows) {
    if (!follows(end, row)) return { rows: rows.length, intact: false, brokenAt: end.seq + 1 };
    end = row;
  }
  return { rows: rows.length, intact: true };
}

/** Whether a row is the next one of a chain that ends at `end`. */
export function follows(end: Pick<AdminRow, 'seq' | 'hash'>, row: AdminRow): boolean {
  return row.seq === end.seq + 1 && row.previous_hash === end.hash && row.hash === hashOf(row);
}

function hashOf({ seq, at, actor, change, content, previous_hash }: Omit<AdminRow, 'hash'>): string {
  return createHash('sha256').update(canonicalJson({ seq, at, actor, change, content, previous_hash })).digest('hex');
}
