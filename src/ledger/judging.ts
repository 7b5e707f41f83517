import type { Transaction } from '../db/port.js';
import type { PackBook } from '../packs/book.js';
import type { Ledger } from './context.js';
import type { SiteHead } from './heads.js';
import { judgedBy } from './judged-by.js';

/** A ledger with the book that one organisation is judged by, as one transaction found it. */
export interface Judging extends Ledger {
  readonly book: PackBook;
}

/** @param publications how many there are, where that is known already. */
export async function judging(
  ledger: Ledger,
  tx: Transaction,
  organisation: string,
  publications?: number,
): Promise<Judging> {
  return { ...ledger, book: await ledger.books.of(tx, organisation, publications) };
}

/**
 * The same for heads that are locked. A head that had to be waited for was read before whoever held it was through: where
 * it was judged by another book than the one that it names, that may be the later one, and so it is asked for again.
 */
export async function judgingLocked(
  ledger: Ledger,
  tx: Transaction,
  organisation: string,
  heads: Iterable<SiteHead>,
): Promise<Judging> {
  const all = [...heads];
  const [first] = all;
  const own = await judging(ledger, tx, organisation, first?.publications);
  if (all.every(({ packs_hash }) => packs_hash === judgedBy(own))) return own;
  return judging(ledger, tx, organisation);
}
