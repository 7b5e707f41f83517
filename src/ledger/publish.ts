import { createHash } from 'node:crypto';
import type { Transaction } from '../db/port.js';
import { lockAdminChain } from '../db/sql/admin-changes.js';
import { appendPublication, raisePublications } from '../db/sql/publications.js';
import type { Pack } from '../packs/model.js';
import { recordAdmin } from './admin-audit.js';
import type { PublicationRow, StoredPublication } from './books.js';
import type { Ledger } from './context.js';
import { judging } from './judging.js';
import { publicationsOf } from './published.js';

/** SHA-256 of a pack's text. */
export function textHash(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}

export interface Draft {
  /** As read from the text, and found without fault. */
  readonly pack: Pack;
  readonly text: string;
  /** From when on it is judged by, ms; absent: from the moment of its publication. */
  readonly effective?: number | undefined;
  /** Id of the key. */
  readonly by: string;
}

/** Why a draft was not published, and what stands instead. */
export type Refusal =
  | { readonly refused: 'changed'; readonly last: PublicationRow | undefined }
  | {
      readonly refused: 'version' | 'layer' | 'jurisdiction';
      readonly last: Pick<Pack, 'version' | 'layer' | 'jurisdiction'>;
    }
  | { readonly refused: 'full' };

/** Texts that an organisation may publish in all: each stays for good. */
const mostPublications = 5000;

/**
 * Store a pack's text for good, as the newest of its id, with a row in the trail of administration. Nothing is judged by it
 * before the next transaction that judges; see `rejudgeAll`.
 * @param lastHash of the newest text that the author has seen, `null` for none, `undefined` when they do not say.
 */
export async function publish(
  ledger: Ledger,
  organisation: string,
  { pack, text, effective, by }: Draft,
  lastHash: string | null | undefined,
): Promise<{ readonly published: PublicationRow; readonly isNew: boolean } | Refusal> {
  const work = async (tx: Transaction) => {
    await tx.query(lockAdminChain, organisation);
    const own = await publicationsOf(tx, organisation, pack.id);
    const last = own.at(-1);
    const hash = textHash(text);
    // Sent again after a lost answer, it is what it was.
    if (last?.hash === hash && (effective === undefined || effective === last.effective))
      return { published: last, isNew: false };
    if (lastHash !== undefined && (last?.hash ?? null) !== lastHash) return { refused: 'changed', last } as const;
    const { book } = await judging(ledger, tx, organisation);
    const earlier = book.packs.filter(({ id }) => id === pack.id);
    const newest = earlier.reduce<Pack | undefined>(
      (a, b) => (a && !isHigher(b.version, a.version) ? a : b),
      undefined,
    );
    const highest = [newest?.version, ...own.map(({ version }) => version)].reduce((a, b) =>
      a !== undefined && (b === undefined || isHigher(a, b)) ? a : b,
    );
    if (highest !== undefined && !isHigher(pack.version, highest))
      return { refused: 'version', last: { ...pack, version: highest } } as const;
    // Whose word it is is part of what a pack is: another layer under the same id would take a law's limits away.
    if (newest !== undefined && newest.layer !== pack.layer) return { refused: 'layer', last: newest } as const;
    // And so is whom it is for: another place under the same id would take the law of this one away.
    if (newest !== undefined && newest.jurisdiction !== pack.jurisdiction)
      return { refused: 'jurisdiction', last: newest } as const;
    const count = await ledger.books.count(tx, organisation);
    if (count >= mostPublications) return { refused: 'full' } as const;
    const now = ledger.now();
    const published: StoredPublication = {
      number: count + 1,
      pack: pack.id,
      version: pack.version,
      hash,
      effective: effective ?? now,
      published_at: now,
      published_by: by,
      content: text,
    };
    await tx.execute(
      appendPublication,
      organisation,
      published.number,
      published.pack,
      published.version,
      published.hash,
      published.effective,
      now,
      by,
      text,
    );
    await tx.execute(raisePublications, organisation, published.number);
    const content = { pack: pack.id, version: pack.version, hash, effective: published.effective };
    await recordAdmin(tx, organisation, { at: now, actor: by, change: 'pack.published', content });
    return { published, isNew: true };
  };
  return ledger.database.withOrganisation(organisation, work, { grows: true });
}

/** Versions are numbers joined by points. */
function isHigher(a: string, b: string): boolean {
  return a.localeCompare(b, 'en', { numeric: true }) > 0;
}
