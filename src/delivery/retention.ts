import type { Database } from '../db/port.js';
import { type LedgerPart, partsOfLedger } from '../db/partitions.js';
import { sitesOfRecord } from '../db/sql/sites-of-record.js';
import { type RetentionPeriod, retentionPeriods } from './retention-periods.js';

/** What an organisation has decided for a jurisdiction, in months; it may be longer than the law's period, never shorter. */
export type Policy = ReadonlyMap<string, number>;

/** A site's records and why they stay. */
export interface KeptSite {
  readonly organisation: string;
  readonly site: string;
  /** First event (ms). */
  readonly since: number;
  /** Months; null: at least one of its jurisdictions has none that is known or decided, so everything is kept. */
  readonly months: number | null;
  /** Jurisdictions without a period. */
  readonly unknown: readonly string[];
}

export interface PlannedMonth extends LedgerPart {
  /** Past the period of every site that has records as old as that. */
  readonly past: boolean;
  /** Sites that hold it back. */
  readonly heldBy: readonly KeptSite[];
}

export interface RetentionPlan {
  readonly sites: readonly KeptSite[];
  /** Parts that are over, in order of time. */
  readonly months: readonly PlannedMonth[];
}

/** A policy that is shorter than a law that was read; the message says which. */
export class PolicyError extends Error {
  override readonly name = 'PolicyError';
}

/**
 * Which months of the ledger are past every period. Nothing is removed: findings are a function of the ledger, so a
 * month may go only once the fold can begin at a sealed state in its place (docs/scale.md). For a replica or a quiet
 * hour: it looks through the ledger for every jurisdiction that a site was ever in.
 *
 * @param now ms; a month is past when its last instant is a whole period ago.
 * @throws PolicyError
 */
export async function retentionPlan(
  database: Database,
  now: number,
  policy: Policy = new Map(),
): Promise<RetentionPlan> {
  checkPolicy(policy);
  const sites: KeptSite[] = [];
  for (const organisation of await database.organisations()) {
    const rows = await database.withOrganisation(organisation, (tx) =>
      tx.query<{ site: string; since: number; jurisdictions: string[] }>(sitesOfRecord, organisation),
    );
    for (const { site, since, jurisdictions } of rows) {
      sites.push({ organisation, site, since, ...periodOf(jurisdictions, policy) });
    }
  }
  const parts = await partsOfLedger(database);
  const over = parts.filter((part): part is LedgerPart & { to: number } => part.to !== null && part.to <= now);
  const months = over.map((part) => {
    const heldBy = sites.filter(
      ({ since, months }) => since < part.to && (months === null || monthsAfter(part.to, months) > now),
    );
    return { ...part, past: heldBy.length === 0, heldBy };
  });
  return { sites, months };
}

/** The longest period of all jurisdictions a site was ever in; one without a period keeps everything. */
export function periodOf(jurisdictions: readonly string[], policy: Policy): Pick<KeptSite, 'months' | 'unknown'> {
  const periods = jurisdictions.map((jurisdiction) => [jurisdiction, wholePeriod(jurisdiction, policy)] as const);
  const unknown = periods.filter(([, months]) => months === null).map(([jurisdiction]) => jurisdiction);
  if (jurisdictions.length === 0 || unknown.length > 0) return { months: null, unknown };
  return { months: Math.max(...periods.map(([, months]) => months ?? 0)), unknown };
}

function wholePeriod(jurisdiction: string, policy: Policy): number | null {
  const law = read(jurisdiction).filter(({ records }) => records === 'all');
  const known = [...law.map(({ months }) => months), ...[policy.get(jurisdiction) ?? []].flat()];
  return known.length === 0 ? null : Math.max(...known);
}

function read(jurisdiction: string): RetentionPeriod[] {
  return retentionPeriods.filter((period) => period.jurisdiction === jurisdiction);
}

function checkPolicy(policy: Policy): void {
  for (const [jurisdiction, months] of policy) {
    const longer = read(jurisdiction).find((period) => period.months > months);
    if (longer !== undefined) {
      throw new PolicyError(
        `${jurisdiction}: ${months} months is shorter than the ${longer.months} months for ${longer.records} (${longer.citation}).`,
      );
    }
  }
}

/** The same instant so many months later; ends of parts lie on the first of a month, so no month is too short for it. */
function monthsAfter(instant: number, months: number): number {
  return new Date(instant).setUTCMonth(new Date(instant).getUTCMonth() + months);
}
