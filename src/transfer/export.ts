import type { Database, Transaction } from '../db/port.js';
import {
  exportAdminChanges,
  exportEvents,
  exportFindingChanges,
  exportFindings,
  exportOrganisationRow,
  exportPacks,
  exportRejected,
  exportSites,
} from '../db/sql/export-organisation.js';
import { Account, type Counts } from './account.js';
import { TransferError } from './error.js';
import { format, type Kind, type Line, type LineOf } from './lines.js';
import { Seal } from './seal.js';

export interface Exported {
  readonly counts: Readonly<Counts>;
  /** Of all lines but the last; the last says it. */
  readonly sha256: string;
  /** Sites whose latest events are not judged. */
  readonly unjudged: number;
}

export interface ExportOptions {
  readonly release: string;
  /** Server time, ms. */
  readonly now: number;
}

/** Rows a page. */
const pageSize = 1000;

/**
 * Everything of one organisation but its API keys, as of one moment, while others go on writing: line after line, with a
 * page of rows in memory at most.
 * @param write takes some lines, with their line breaks; the next page is read when it has resolved.
 * @throws TransferError when there is no such organisation, or when what is stored does not hold together.
 */
export async function exportOrganisation(
  database: Database,
  organisation: string,
  { release, now }: ExportOptions,
  write: (lines: string) => Promise<void>,
): Promise<Exported> {
  return database.withOrganisation(
    organisation,
    async (tx) => {
      const seal = new Seal();
      const account = new Account();
      let unjudged = 0;
      const put = async (lines: readonly Line[]): Promise<void> => {
        let text = '';
        for (const line of lines) {
          const fault = account.add(line);
          if (fault !== undefined)
            throw new TransferError(`What is stored of ${organisation} does not hold: ${fault}.`);
          text += `${seal.write(line)}\n`;
        }
        await write(text);
      };
      const exported = new Date(now).toISOString();
      const header = { kind: 'header', format: format.name, version: format.version, release, organisation } as const;
      await put([{ ...header, exported }, await organisationRow(tx, organisation)]);
      for await (const page of adminChanges(tx, organisation)) await put(page);
      for await (const page of packs(tx, organisation)) await put(page);
      for await (const sites of sitePages(tx, organisation)) {
        for (const site of sites) {
          if (site.unjudged !== null) unjudged += 1;
          await put([site]);
          for await (const page of ofSite(tx, organisation, site.site)) await put(page);
        }
      }
      for await (const page of rejected(tx, organisation)) await put(page);
      const { sha256 } = seal;
      const counts = { ...account.counts };
      await put([{ kind: 'end', counts, sha256 }]);
      return { counts, sha256, unjudged };
    },
    { snapshot: true },
  );
}

async function organisationRow(tx: Transaction, organisation: string): Promise<LineOf<'organisation'>> {
  const [row] = await tx.query<Omit<LineOf<'organisation'>, 'kind'>>(exportOrganisationRow, organisation);
  if (row === undefined) throw new TransferError(`There is no organisation ${organisation} in this database.`);
  return { kind: 'organisation', ...row };
}

function adminChanges(tx: Transaction, organisation: string) {
  return pages<'admin'>('admin', (last) => tx.query(exportAdminChanges, organisation, last?.seq ?? 0, pageSize));
}

function packs(tx: Transaction, organisation: string) {
  return pages<'pack'>('pack', (last) => tx.query(exportPacks, organisation, last?.number ?? 0, pageSize));
}

function sitePages(tx: Transaction, organisation: string) {
  return pages<'site'>('site', (last) => tx.query(exportSites, organisation, last?.site ?? '', pageSize));
}

async function* ofSite(tx: Transaction, organisation: string, site: string): AsyncGenerator<Line[]> {
  const first = { at: Number.MIN_SAFE_INTEGER, rank: -1, source: '', id: '' };
  yield* pages<'event'>('event', (last = first as LineOf<'event'>) =>
    tx.query(exportEvents, organisation, site, last.at, last.rank, last.source, last.id, pageSize),
  );
  yield* pages<'finding'>('finding', (last) =>
    tx.query(exportFindings, organisation, site, last?.detail['id'] ?? '', pageSize),
  );
  yield* pages<'change'>('change', (last) =>
    tx.query(exportFindingChanges, organisation, site, last?.seq ?? 0, pageSize),
  );
}

function rejected(tx: Transaction, organisation: string) {
  return pages<'rejected'>('rejected', (last) => tx.query(exportRejected, organisation, last?.seq ?? 0, pageSize));
}

/** Page after page of one kind, each read after the last row of the one before. */
async function* pages<K extends Kind>(
  kind: K,
  read: (last: LineOf<K> | undefined) => Promise<Omit<LineOf<K>, 'kind'>[]>,
): AsyncGenerator<LineOf<K>[]> {
  let last: LineOf<K> | undefined;
  do {
    const page = (await read(last)).map((row) => ({ kind, ...row }) as unknown as LineOf<K>);
    if (page.length > 0) yield page;
    last = page.length < pageSize ? undefined : page.at(-1);
  } while (last !== undefined);
}
