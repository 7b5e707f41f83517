import type { Transaction } from '../db/port.js';
import { listPublications, readPublication } from '../db/sql/publications.js';
import type { PublicationRow, StoredPublication } from './books.js';

/** What an organisation published under an id, in the order in which it did. */
export function publicationsOf(tx: Transaction, organisation: string, pack: string): Promise<PublicationRow[]> {
  return tx.query<PublicationRow>(listPublications, organisation, pack);
}

/** One of them with its text. */
export async function publicationAt(
  tx: Transaction,
  organisation: string,
  number: number,
): Promise<StoredPublication | undefined> {
  const [row] = await tx.query<StoredPublication>(readPublication, organisation, number);
  return row;
}
