import { Conditions, type Page, pageOf, type Paging, readCursor, writeCursor } from '../db/cursor.js';
import type { Database } from '../db/port.js';
import type { Finding, FindingState } from '../engine/finding.js';
import type { Severity } from '../packs/model.js';

/** Absent: not filtered. `sites`: those that may be seen. Instants of opening in ms, [from, to). */
export interface FindingFilter {
  readonly sites?: readonly string[] | undefined;
  readonly states?: readonly FindingState[] | undefined;
  readonly severities?: readonly Severity[] | undefined;
  readonly rule?: string | undefined;
  readonly line?: string | undefined;
  readonly tube?: string | undefined;
  readonly from?: number | undefined;
  readonly to?: number | undefined;
}

export interface FindingRow {
  readonly site: string;
  readonly revision: number;
  readonly finding: Finding;
  readonly trace: unknown;
  readonly evaluatorsAgree: boolean | null;
}

/** A change as its audit row has it; `at` is server time, ms. */
export interface ChangeRow {
  readonly site: string;
  readonly seq: number;
  readonly revision: number;
  readonly change: string;
  readonly cause: string;
  readonly at: number;
  readonly finding: Finding;
  readonly hash: string;
}

const columns = 'site, revision, detail as finding, trace, evaluators_agree as "evaluatorsAgree"';
const changeColumns = 'site, seq, revision, change, cause, at, content as finding, hash';

/** Findings, latest opened first. */
export async function listFindings(
  database: Database,
  organisation: string,
  filter: FindingFilter,
  paging: Paging,
): Promise<Page<FindingRow>> {
  const where = new Conditions(organisation)
    .among('site', filter.sites)
    .among('state', filter.states)
    .among('severity', filter.severities)
    .add('rule = ?', filter.rule)
    .add('line = ?', filter.line)
    .add('tube = ?', filter.tube)
    .add('opened_at >= ?::bigint', filter.from)
    .add('opened_at < ?::bigint', filter.to);
  if (paging.cursor !== undefined) {
    where.add(
      '(opened_at, id, site) < (?::bigint, ?, ?)',
      ...readCursor(paging.cursor, ['number', 'string', 'string']),
    );
  }
  const limit = where.bind(paging.limit + 1);
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<FindingRow>(
      `select ${columns} from finding where ${where.text} order by opened_at desc, id desc, site desc limit ${limit}`,
      ...where.values,
    ),
  );
  return pageOf(
    rows,
    paging.limit,
    (row) => row,
    ({ finding, site }) => [finding.openedAt, finding.id, site],
  );
}

/** One finding with all its changes, oldest first; null when there is none. */
export async function oneFinding(
  database: Database,
  organisation: string,
  id: string,
): Promise<(FindingRow & { readonly history: readonly ChangeRow[] }) | null> {
  return database.withOrganisation(organisation, async (tx) => {
    const rows = await tx.query<FindingRow>(
      `select ${columns} from finding where organisation = $1 and id = $2 order by site limit 1`,
      organisation,
      id,
    );
    const row = rows[0];
    if (row === undefined) return null;
    const history = await tx.query<ChangeRow>(
      `select ${changeColumns} from finding_change where organisation = $1 and finding = $2 and site = $3 order by seq`,
      organisation,
      id,
      row.site,
    );
    return { ...row, history };
  });
}

/** `next` is always there: with nothing new it is what was sent, to be asked with again later. */
export interface Changes {
  readonly items: readonly ChangeRow[];
  readonly next: string;
  readonly more: boolean;
}

/** Before the first change. */
const beginning: readonly (string | number)[] = ['0', '', 0];

/**
 * Changes in the order of their commits, so that a reader who goes on from `next` misses none: rows of a transaction are
 * shown only when every transaction that could still commit is a later one.
 */
export async function listChanges(
  database: Database,
  organisation: string,
  filter: Pick<FindingFilter, 'sites'>,
  paging: Paging,
): Promise<Changes> {
  const after = paging.cursor === undefined ? beginning : readCursor(paging.cursor, ['string', 'string', 'number']);
  // xid8 takes digits only; anything else is not a cursor of ours.
  const [xid, site, seq] = /^\d{1,19}$/.test(String(after[0])) ? after : readCursor('', ['string', 'string', 'number']);
  const where = new Conditions(organisation)
    .among('site', filter.sites)
    .add('(xid, site, seq) > (?::text::xid8, ?, ?::bigint)', xid, site, seq);
  const limit = where.bind(paging.limit + 1);
  const rows = await database.withOrganisation(organisation, (tx) =>
    tx.query<ChangeRow & { readonly xid: string }>(
      `select xid::text as xid, ${changeColumns} from finding_change
       where ${where.text}
         and xid < (select (pg_snapshot_xmin(pg_current_snapshot())::text::bigint + feed_offset)::text::xid8
                    from organisation where organisation = $1)
       order by finding_change.xid, site, seq limit ${limit}`,
      ...where.values,
    ),
  );
  const shown = rows.slice(0, paging.limit);
  const last = shown.at(-1);
  return {
    items: shown.map(({ xid: _, ...change }) => change),
    next: last === undefined ? (paging.cursor ?? writeCursor(beginning)) : writeCursor([last.xid, last.site, last.seq]),
    more: rows.length > paging.limit,
  };
}
