import type { PackBook } from '../packs/book.js';
import type { Fold } from './fold.js';

/** What a state or a finding follows from besides the events: the code of the fold, and the packs. */
export interface Judge {
  readonly fold: Pick<Fold, 'version'>;
  readonly book: PackBook;
}

/** Stored with a site as its `packs_hash`: what another code or other packs have found is found anew. */
export function judgedBy({ fold, book }: Judge): string {
  return `${fold.version}-${book.hash}`;
}

/** Stored with a checkpoint at `at` (ms): packs that begin later leave it standing, another code never does. */
export function judgedUpTo({ fold, book }: Judge, at: number): string {
  return `${fold.version}-${book.hashUpTo(at)}`;
}
