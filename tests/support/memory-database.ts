import type { Database, Transaction } from '../../src/db/port.js';
import { appendChanges } from '../../src/db/sql/append-changes.js';
import { appendEvents } from '../../src/db/sql/append-events.js';
import {
  dropCheckpoints,
  findingsTouchedSince,
  listCheckpoints,
  raiseCheckpoints,
  readCheckpoint,
  writeCheckpoints,
} from '../../src/db/sql/checkpoints.js';
import { createHeads } from '../../src/db/sql/create-heads.js';
import { dueSites } from '../../src/db/sql/due-sites.js';
import { appendAdminChange, endOfAdminChain, lockAdminChain } from '../../src/db/sql/admin-changes.js';
import {
  appendPublication,
  countPublications,
  listPublications,
  raisePublications,
  readPublications,
  sitesJudgedOtherwise,
} from '../../src/db/sql/publications.js';
import { findKeys } from '../../src/db/sql/find-keys.js';
import { findingsOfEvents } from '../../src/db/sql/findings-of-events.js';
import { lockHeads, lockHeadsForReading, lockHeadUnlessBusy, readHeads } from '../../src/db/sql/lock-heads.js';
import { readFindings, readFindingsOfSites } from '../../src/db/sql/read-findings.js';
import { hasMoreEvents, readLedger, readRetractions } from '../../src/db/sql/read-ledger.js';
import { forgetRejected, recordRejected } from '../../src/db/sql/rejected-events.js';
import { updateHeads } from '../../src/db/sql/update-heads.js';
import { writeFindings } from '../../src/db/sql/write-findings.js';
import { compareKeys, type OrderKey } from '../../src/events/order.js';
import type { Finding } from '../../src/engine/finding.js';
import type { StoredPublication } from '../../src/ledger/books.js';
import type { SiteHead } from '../../src/ledger/heads.js';
import type { NewCheckpoint } from '../../src/ledger/checkpoints.js';

/**
 * One organisation's ledger in plain arrays, behind the database's port: thousands of histories can go through the real
 * intake, sweeper and replay in the time a real database takes for a few. It knows the statements of that path and no
 * other, one transaction at a time; that the real statements mean the same, the same histories on the real database show.
 */
export class MemoryDatabase implements Database {
  readonly kind = 'embedded';
  readonly durability = 'none';
  readonly events: Event[] = [];
  readonly findings = new Map<string, StoredRow>();
  readonly changes: { site: string; finding: string; revision: number; change: string; cause: string }[] = [];
  readonly heads = new Map<string, SiteHead>();
  readonly publications: StoredPublication[] = [];
  readonly #keys = new Map<string, Key>();
  readonly #checkpoints = new Map<string, (NewCheckpoint & { site: string })[]>();
  #last: Promise<unknown> = Promise.resolve();
  #broken: unknown;

  async withOrganisation<T>(_organisation: string, work: (tx: Transaction) => Promise<T>): Promise<T> {
    const mine = this.#last.then(async () => {
      // Nothing is rolled back here: after an error what is stored means nothing any more.
      if (this.#broken !== undefined) throw new Error('an earlier transaction failed', { cause: this.#broken });
      try {
        return await work(this.#transaction);
      } catch (error) {
        this.#broken = error;
        throw error;
      }
    });
    this.#last = mine.catch(() => undefined);
    return mine;
  }

  organisations(): Promise<string[]> {
    return Promise.resolve(['memory']);
  }
  ping(): Promise<void> {
    return Promise.resolve();
  }
  close(): Promise<void> {
    return Promise.resolve();
  }

  readonly #transaction = {
    query: <Row>(sql: string, _organisation: string, ...values: unknown[]): Promise<Row[]> =>
      Promise.resolve(this.#run(sql, values) as Row[]),
    execute: (sql: string, _organisation: string, ...values: unknown[]): Promise<number> =>
      Promise.resolve(this.#run(sql, values).length),
  } as unknown as Transaction;

  #run(sql: string, values: unknown[]): unknown[] {
    const statement = this.#statements.get(sql);
    if (statement === undefined) throw new Error(`a statement that this database does not know: ${sql}`);
    // Rows are copies, as they are from a real database.
    return structuredClone(statement(...(values as never[])));
  }

  readonly #statements = new Map<string, (...values: never[]) => unknown[]>([
    [appendEvents, (rows: string) => this.#append(JSON.parse(rows) as Event[])],
    [findKeys, (rows: string) => this.#named(rows).flatMap((key) => this.#keys.get(keyOf(key)) ?? [])],
    // Asked about duplicates, for their answers only.
    [findingsOfEvents, () => []],
    // Asked for the notices in answers only.
    ...[lockHeads, readHeads, lockHeadUnlessBusy, lockHeadsForReading].map((sql): [string, Statement] => [
      sql,
      (sites: string) =>
        (JSON.parse(sites) as string[])
          .flatMap((site) => this.heads.get(site) ?? [])
          .map((head) => ({ ...head, publications: this.publications.length })),
    ]),
    [createHeads, (sites: string, _now: number, packs: string) => this.#create(JSON.parse(sites) as string[], packs)],
    [
      updateHeads,
      (rows: string) => (JSON.parse(rows) as SiteHead[]).map((head) => this.heads.set(head.site, { ...head })),
    ],
    ['select site from site_head where organisation = $1 order by site', () => [...this.heads.values()]],
    [
      dueSites,
      (now: number, packs: string) =>
        [...this.heads.values()]
          .filter(({ version }) => version > 0)
          .map((head) => ({ head, anew: head.packs_hash !== packs || head.unjudged !== null }))
          .filter(
            ({ head: { next_due: due, swept_to, last_at }, anew }) =>
              anew || (due !== null && due <= now && (due > swept_to || swept_to <= (last_at ?? swept_to))),
          )
          .map(({ head: { site }, anew }) => ({ site, anew })),
    ],
    [
      readLedger,
      (site: string, at: number, rank: number, source: string, id: string, until: number, most: number) =>
        this.#ofSite(site)
          .filter((event) => event.at <= until && compareKeys(event, { at, rank, source, id }) > 0)
          .slice(0, most),
    ],
    [
      hasMoreEvents,
      (site: string, at: number, rank: number, source: string, id: string, most: number) =>
        this.#ofSite(site)
          .filter((event) => compareKeys(event, { at, rank, source, id }) > 0)
          .slice(most, most + 1),
    ],
    [
      readRetractions,
      (site: string) => this.#ofSite(site).flatMap(({ type, data }) => (type === 'event.retracted' ? [data] : [])),
    ],
    [readFindings, (ids: string) => (JSON.parse(ids) as string[]).flatMap((id) => this.findings.get(id) ?? [])],
    [
      readFindingsOfSites,
      (sites: string) =>
        [...this.findings.values()].filter(({ site }) => (JSON.parse(sites) as string[]).includes(site)),
    ],
    [writeFindings, (rows: string) => this.#write(JSON.parse(rows) as Written[])],
    [appendChanges, (rows: string) => (JSON.parse(rows) as []).map((row) => this.changes.push(row))],
    [countPublications, () => [{ publications: this.publications.length }]],
    [readPublications, (after: number) => this.publications.slice(after)],
    [listPublications, (pack: string) => this.publications.filter((row) => row.pack === pack)],
    [
      appendPublication,
      (...[number, pack, version, hash, effective, published_at, published_by, content]: PublicationValues) => {
        this.publications.push({ number, pack, version, hash, effective, published_at, published_by, content });
        return [];
      },
    ],
    [raisePublications, () => []],
    [sitesJudgedOtherwise, (packs: string) => [...this.heads.values()].filter((head) => head.packs_hash !== packs)],
    // Of administration nothing is kept here.
    [lockAdminChain, () => []],
    [endOfAdminChain, () => []],
    [appendAdminChange, () => []],
    [recordRejected, () => []],
    [forgetRejected, () => []],
    [
      findingsTouchedSince,
      (site: string, at: number) =>
        [...this.findings.values()].filter(
          (row) => row.site === site && row.touched >= at && row.detail.state !== 'withdrawn',
        ),
    ],
    [listCheckpoints, (site: string) => this.#passed(site).map(({ state: _, ...place }) => place)],
    [
      readCheckpoint,
      (site: string, at: number, rank: number, source: string, id: string) =>
        this.#passed(site).filter((one) => compareKeys(one, { at, rank, source, id }) === 0),
    ],
    [
      writeCheckpoints,
      (rows: string) =>
        (JSON.parse(rows) as (NewCheckpoint & { site: string })[]).map((row) =>
          this.#checkpoints.set(
            row.site,
            [row, ...this.#without(row)].sort((a, b) => compareKeys(b, a)),
          ),
        ),
    ],
    [
      raiseCheckpoints,
      (site: string, at: number, rank: number, source: string, id: string, rows: number) => {
        const raised = this.#passed(site).map((one) =>
          compareKeys(one, { at, rank, source, id }) >= 0 ? { ...one, events: one.events + rows } : one,
        );
        this.#checkpoints.set(site, raised);
        return raised;
      },
    ],
    [
      dropCheckpoints,
      (rows: string) =>
        (JSON.parse(rows) as (OrderKey & { site: string })[]).map((row) =>
          this.#checkpoints.set(row.site, this.#without(row)),
        ),
    ],
  ]);

  #named(rows: string): { source: string; id: string }[] {
    return JSON.parse(rows) as { source: string; id: string }[];
  }

  #append(rows: readonly Event[]): Key[] {
    const taken: Key[] = [];
    for (const row of rows) {
      const holder = this.#keys.get(keyOf(row));
      if (holder !== undefined) taken.push(holder);
      else {
        const { source, id, site, hash, at } = row;
        this.#keys.set(keyOf(row), { source, id, site, hash, at });
        this.events.push({ ...row, subject: row.subject ?? null });
      }
    }
    return taken;
  }

  #ofSite(site: string): Event[] {
    return this.events.filter((event) => event.site === site).sort(compareKeys);
  }

  #create(sites: readonly string[], packs_hash: string): unknown[] {
    const empty = { version: 0, last_at: null, last_rank: null, last_source: null, last_id: null, next_due: null };
    const none = { swept_to: 0, events: 0, audit_seq: 0, audit_hash: '', unjudged: null, publications: 0 };
    return sites.map((site) => this.heads.set(site, this.heads.get(site) ?? { site, packs_hash, ...empty, ...none }));
  }

  #write(rows: readonly Written[]): unknown[] {
    return rows.map(({ site, revision, touched, detail }) =>
      this.findings.set(detail.id, { id: detail.id, site, state: detail.state, revision, touched, detail }),
    );
  }

  #passed(site: string): (NewCheckpoint & { site: string })[] {
    return this.#checkpoints.get(site) ?? [];
  }

  #without(row: OrderKey & { site: string }): (NewCheckpoint & { site: string })[] {
    return this.#passed(row.site).filter((one) => compareKeys(one, row) !== 0);
  }
}

type PublicationValues = [number, string, string, string, number, number, string, string];
type Statement = (...values: never[]) => unknown[];

interface Key {
  readonly source: string;
  readonly id: string;
  readonly site: string;
  readonly hash: string;
  readonly at: number;
}
interface Event extends Key {
  readonly rank: number;
  readonly type: string;
  readonly subject: string | null;
  readonly data: unknown;
}
interface Written {
  readonly site: string;
  readonly revision: number;
  readonly touched: number;
  readonly detail: Finding;
}
export interface StoredRow extends Written {
  readonly id: string;
  readonly state: string;
}

function keyOf({ source, id }: { readonly source: string; readonly id: string }): string {
  return `${source}\n${id}`;
}
