import { createHash } from 'node:crypto';
import { canonicalJson } from '../canonical-json.js';
import type { Database, Transaction } from '../db/port.js';
import type { Finding } from '../engine/finding.js';
import type { Change, ChangeKind } from './reconcile.js';

/** Why a finding changed: an event in its order, a late one or a retraction, other packs, or time alone. */
export type Cause = 'live' | 'late' | 'replay' | 'sweep';

/** One row of a site's audit trail; `hash` covers everything else in it and the hash before. Instants in ms. */
export interface AuditRow {
  readonly site: string;
  readonly seq: number;
  readonly finding: string;
  readonly revision: number;
  readonly change: ChangeKind;
  readonly cause: Cause;
  readonly at: number;
  readonly content: Finding;
  readonly previous_hash: string;
  readonly hash: string;
}

/** Where a chain ends. An empty chain ends at (0, ''). */
export interface ChainEnd {
  readonly seq: number;
  readonly hash: string;
}

/** Append changes to a site's chain. The caller holds the lock on the site's head, which remembers the end. */
export function chainOn(end: ChainEnd, site: string, changes: readonly Change[], cause: Cause, at: number): AuditRow[] {
  const rows: AuditRow[] = [];
  let { seq, hash } = end;
  for (const { finding, revision, kind } of changes) {
    seq += 1;
    const row = {
      site,
      seq,
      finding: finding.id,
      revision,
      change: kind,
      cause,
      at,
      content: finding,
      previous_hash: hash,
    };
    hash = hashOf(row);
    rows.push({ ...row, hash });
  }
  return rows;
}

export function hashOf(row: Omit<AuditRow, 'hash'>): string {
  const { site, seq, finding, revision, change, cause, at, content, previous_hash } = row;
  const text = canonicalJson({ site, seq, finding, revision, change, cause, at, content, previous_hash });
  return createHash('sha256').update(text).digest('hex');
}

/** Why a row is not the next one of a chain that ends at `end`; undefined if it is. */
export function chainFault(end: ChainEnd, row: AuditRow): string | undefined {
  if (row.seq !== end.seq + 1) return 'the row is missing';
  if (row.previous_hash !== end.hash) return 'it does not follow the row before it';
  if (hashOf(row) !== row.hash) return 'its content is not what was hashed';
  return undefined;
}

export interface AuditReport {
  readonly site: string;
  readonly rows: number;
  readonly intact: boolean;
  /** The first row at which the chain does not hold, and why. */
  readonly fault?: { readonly seq: number; readonly reason: string };
}

const page = 500;

/**
 * Recompute a site's chain from its first row and hold its end against the site's head. Any row edited, removed, added
 * or moved breaks it.
 */
export async function verifyAudit(database: Database, organisation: string, site: string): Promise<AuditReport> {
  return database.withOrganisation(organisation, async (tx) => {
    // Keeps writers out: the head and the pages must be of one moment.
    await tx.query('select from site_head where organisation = $1 and site = $2 for share', organisation, site);
    return verifyAuditIn(tx, organisation, site);
  });
}

/** The same in a transaction at hand that sees one moment, or keeps the site's writers out. */
export async function verifyAuditIn(tx: Transaction, organisation: string, site: string): Promise<AuditReport> {
  const heads = await tx.query<{ seq: number; hash: string }>(
    'select audit_seq::float8 as seq, audit_hash as hash from site_head where organisation = $1 and site = $2',
    organisation,
    site,
  );
  const end = heads[0] ?? { seq: 0, hash: '' };
  let at: ChainEnd = { seq: 0, hash: '' };
  const broken = (seq: number, reason: string): AuditReport => ({
    site,
    rows: at.seq,
    intact: false,
    fault: { seq, reason },
  });
  for (;;) {
    const rows = await tx.query<AuditRow>(
      `select site, seq::float8 as seq, finding, revision, change, cause, at::float8 as at, content, previous_hash, hash
         from finding_change where organisation = $1 and site = $2 and seq > $3::float8::bigint order by seq limit $4::int`,
      organisation,
      site,
      at.seq,
      page,
    );
    for (const row of rows) {
      const reason = chainFault(at, row);
      if (reason !== undefined) return broken(at.seq + 1, reason);
      at = { seq: row.seq, hash: row.hash };
    }
    if (rows.length < page) break;
  }
  if (at.seq !== end.seq || at.hash !== end.hash) {
    return broken(at.seq + 1, `the site's head says that the chain ends at row ${end.seq}`);
  }
  return { site, rows: at.seq, intact: true };
}
