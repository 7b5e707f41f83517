import type { Transaction } from '../db/port.js';
import { appendChanges } from '../db/sql/append-changes.js';
import { findingsOfEvents } from '../db/sql/findings-of-events.js';
import { readFindings, readFindingsOfSites } from '../db/sql/read-findings.js';
import { writeFindings } from '../db/sql/write-findings.js';
import type { AuditRow } from './audit.js';
import type { Change, StoredFinding } from './reconcile.js';
import type { TraceOutcome } from './traces.js';

/** Stored findings by site and id: those of `ids`, and all of `sites`. */
export async function fetchStored(
  tx: Transaction,
  organisation: string,
  ids: readonly string[],
  sites: readonly string[],
): Promise<Map<string, Map<string, StoredFinding>>> {
  const rows: StoredFinding[] = [];
  if (ids.length > 0) rows.push(...(await tx.query<StoredFinding>(readFindings, organisation, JSON.stringify(ids))));
  if (sites.length > 0) {
    for (const row of await tx.query<StoredFinding>(readFindingsOfSites, organisation, JSON.stringify(sites)))
      rows.push(row);
  }
  const bySite = new Map<string, Map<string, StoredFinding>>();
  for (const row of rows) {
    const ofSite = bySite.get(row.site) ?? new Map<string, StoredFinding>();
    bySite.set(row.site, ofSite.set(row.id, row));
  }
  return bySite;
}

/** A change with where it belongs and, for a check just opened, how its condition came out. */
export interface PlacedChange extends Change {
  readonly site: string;
  readonly traced?: TraceOutcome;
}

/** Write changed findings and their audit rows: two statements, however many. */
export async function writeChanges(
  tx: Transaction,
  organisation: string,
  changes: readonly PlacedChange[],
  audit: readonly AuditRow[],
  now: number,
): Promise<void> {
  if (changes.length === 0) return;
  const rows = changes.map(({ site, revision, touched, finding, traced }) => ({
    site,
    revision,
    touched,
    detail: finding,
    trace: traced?.tree ?? null,
    agree: traced?.agree ?? null,
  }));
  await tx.execute(writeFindings, organisation, JSON.stringify(rows));
  await tx.execute(appendChanges, organisation, JSON.stringify(audit), now);
}

interface EventPlace {
  readonly source: string;
  readonly id: string;
  readonly site: string;
  readonly at: number;
}

/** Ids of the findings that speak of each event, in order of opening. Withdrawn ones do not count. */
export async function findingsNaming(
  tx: Transaction,
  organisation: string,
  events: readonly EventPlace[],
): Promise<{ source: string; id: string; finding: string }[]> {
  if (events.length === 0) return [];
  return tx.query(findingsOfEvents, organisation, JSON.stringify(events));
}
