import { readConfig } from '../config.js';
import { openDatabase } from '../db/open.js';
import { verifyAudit } from '../findings/audit.js';
import { verifyAdminAudit } from '../ledger/admin-audit.js';
import { listSites } from '../ledger/queries.js';

/** Recomputes every chain, prints a line for each, and answers the exit code: 1 when one is broken. */
export async function verifyAll(): Promise<number> {
  const database = await openDatabase(readConfig(process.env));
  let broken = 0;
  let rows = 0;
  const tell = (where: string, count: number, fault: string | undefined): void => {
    rows += count;
    if (fault !== undefined) broken += 1;
    process.stdout.write(
      `${fault === undefined ? 'intact' : 'BROKEN'}  ${where}: ${rowsOf(count)}${fault === undefined ? '' : `; ${fault}`}\n`,
    );
  };
  try {
    for (const organisation of await database.organisations()) {
      const admin = await verifyAdminAudit(database, organisation);
      tell(
        `${organisation}, administration`,
        admin.rows,
        admin.intact ? undefined : `row ${admin.brokenAt} does not hold`,
      );
      for (let cursor: string | undefined, more = true; more;) {
        const page = await listSites(database, organisation, undefined, { limit: 500, cursor });
        for (const { id } of page.items) {
          const report = await verifyAudit(database, organisation, id);
          tell(
            `${organisation}, ${id}`,
            report.rows,
            report.fault && `row ${report.fault.seq}: ${report.fault.reason}`,
          );
        }
        cursor = page.next;
        more = cursor !== undefined;
      }
    }
  } finally {
    await database.close();
  }
  process.stdout.write(
    broken === 0
      ? `All chains hold, ${rowsOf(rows)}.\n`
      : `${broken === 1 ? '1 chain is' : `${broken} chains are`} broken.\n`,
  );
  return broken === 0 ? 0 : 1;
}

const rowsOf = (count: number): string => `${count} row${count === 1 ? '' : 's'}`;
