import { LRUCache } from 'lru-cache';
import type { Transaction } from '../db/port.js';
import { countPublications, readPublications } from '../db/sql/publications.js';
import { PackBook } from '../packs/book.js';
import { editionsOf, type Publication } from '../packs/publications.js';
import { readPack } from '../packs/reader/index.js';

/** One text of a pack as it is stored. Instants in ms. */
export interface PublicationRow {
  /** Its place among all publications of the organisation, from 1. */
  readonly number: number;
  readonly pack: string;
  readonly version: string;
  /** SHA-256 of the text. */
  readonly hash: string;
  readonly effective: number;
  readonly published_at: number;
  readonly published_by: string;
}
export interface StoredPublication extends PublicationRow {
  readonly content: string;
}

/** What an organisation published, as far as this process has read it. */
interface Own {
  readonly count: number;
  readonly publications: readonly Publication[];
  readonly book: PackBook;
}

/** Organisations whose book is kept ready; another's is read again when it is asked for. */
const mostBooks = 200;

/**
 * The book that each organisation is judged by: the shipped packs, and what it has published besides. A book is as good as
 * the number of publications that it was made of; every transaction that judges asks for that number.
 */
export class Books {
  /** Of an organisation that has published nothing. */
  readonly shipped: PackBook;
  readonly #own = new LRUCache<string, Own>({ max: mostBooks });
  readonly #report: (fields: object, message: string) => void;

  /** @param report told of a stored text that this release cannot read; the rest is judged by all the same. */
  constructor(shipped: PackBook, report: (fields: object, message: string) => void = () => undefined) {
    this.shipped = shipped;
    this.#report = report;
  }

  /**
   * The book of an organisation as a transaction sees it.
   * @param count how many publications there are, where that is known already.
   */
  async of(tx: Transaction, organisation: string, count?: number): Promise<PackBook> {
    const wanted = count ?? (await this.count(tx, organisation));
    if (wanted === 0) return this.shipped;
    const known = this.#own.get(organisation);
    if (known !== undefined && known.count >= wanted) return known.book;
    const rows = await tx.query<StoredPublication>(readPublications, organisation, known?.count ?? 0);
    const publications = [
      ...(known?.publications ?? []),
      ...rows.flatMap((row) => this.#read(organisation, row) ?? []),
    ];
    const book = new PackBook(editionsOf(this.shipped.packs, publications));
    const own = { count: rows.at(-1)?.number ?? known?.count ?? 0, publications, book };
    // Another transaction may have read more meanwhile.
    if ((this.#own.get(organisation)?.count ?? 0) <= own.count) this.#own.set(organisation, own);
    return book;
  }

  /** How many packs an organisation has published. */
  async count(tx: Transaction, organisation: string): Promise<number> {
    const [row] = await tx.query<{ publications: number }>(countPublications, organisation);
    return row?.publications ?? 0;
  }

  #read(organisation: string, row: StoredPublication): Publication | undefined {
    const { pack, diagnostics } = readPack(row.content, `${row.pack}@${row.version}`);
    if (pack !== undefined) return { pack, effective: row.effective, publishedAt: row.published_at };
    const faults = diagnostics.map(({ line, message }) => `${line}: ${message}`);
    this.#report({ organisation, pack: row.pack, version: row.version, faults }, 'A published pack cannot be read.');
    return undefined;
  }
}
