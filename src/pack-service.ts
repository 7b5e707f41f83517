import { type Rejudged, rejudgeAll } from './ledger/rejudge-all.js';
import type { Present, PackService, PackVersion, StoredText, PublishAnswer } from './api/services.js';
import { LRUCache } from 'lru-cache';
import type { Transaction } from './db/port.js';
import type { Ledger } from './ledger/context.js';
import type { Intake } from './ledger/intake.js';
import { judging } from './ledger/judging.js';
import { publish, textHash } from './ledger/publish.js';
import { publicationAt, publicationsOf } from './ledger/published.js';
import type { PackBook } from './packs/book.js';
import { unspoken } from './packs/jurisdictions.js';
import type { Pack } from './packs/model.js';
import { candidates } from './packs/candidates.js';
import { type PackRead, readPack } from './packs/reader/index.js';
import type { Shelf } from './rules.js';
import { type PresentPacks, tested, type Turns } from './trial-service.js';

/** How long whoever publishes waits for the sites to be judged anew, ms. */
const patience = 10_000;

export interface PackParts {
  readonly shelf: Shelf;
  readonly ledger: Ledger;
  readonly intake: Intake;
  readonly present: (organisation: string) => Promise<PresentPacks>;
  readonly turns: Turns;
}

/** Stored texts as read: they never change, and every draft is held against all that stand. */
const known = new LRUCache<string, PackRead>({ max: 500 });

function readOnce(hash: string, text: string, file: string): PackRead {
  const key = `${file} ${hash}`;
  let read = known.get(key);
  if (read === undefined) known.set(key, (read = readPack(text, file)));
  return read;
}

/** What an organisation is judged by, with the texts of it that may still come to stand. */
export function presentPacks({ shelf, ledger }: Pick<PackParts, 'shelf' | 'ledger'>): PackParts['present'] {
  return (organisation) =>
    ledger.database.withOrganisation(organisation, async (tx) => {
      const { editions } = (await judging(ledger, tx, organisation)).book;
      const reads: PackRead[] = [];
      const published = editions.filter(({ from }) => from > -Infinity);
      for (const { id, version } of published.map(({ pack }) => pack)) {
        const row = (await publicationsOf(tx, organisation, id)).find((one) => one.version === version);
        const stored = row && (await publicationAt(tx, organisation, row.number));
        if (stored !== undefined) reads.push(readOnce(stored.hash, stored.content, `${id}@${version}`));
      }
      // A shipped text stands until its successor's day, which may be still to come.
      const now = ledger.now();
      const replaced = new Set(published.filter(({ from }) => from <= now).map(({ pack }) => pack.id));
      return { editions, reads: [...shelf.reads.filter(({ pack }) => !replaced.has(pack?.id ?? '')), ...reads] };
    });
}

/** The packs of an organisation, shipped and published, as the API asks for them. */
export function packService({ shelf, ledger, intake, present, turns }: PackParts): PackService {
  const reading = <T>(organisation: string, work: (tx: Transaction) => Promise<T>) =>
    ledger.database.withOrganisation(organisation, work);
  const shippedText = (pack: Pack) => shelf.files.find((each) => each.pack === pack)?.text ?? '';

  async function bookOf(organisation: string): Promise<PackBook> {
    return reading(organisation, async (tx) => (await judging(ledger, tx, organisation)).book);
  }

  return {
    async present(organisation): Promise<Present> {
      const book = await bookOf(organisation);
      return {
        jurisdictions: book.jurisdictions,
        unspoken: (place, at) => unspoken(book, place, at),
        editions: book.editions,
        shipped: new Map(shelf.packs.map(({ id, version }) => [id, version])),
      };
    },

    async versions(organisation, id): Promise<readonly PackVersion[]> {
      return reading(organisation, async (tx) => {
        const { book } = await judging(ledger, tx, organisation);
        const own = await publicationsOf(tx, organisation, id);
        const editions = book.editions.filter(({ pack }) => pack.id === id);
        const standing = (version: string, from: number) =>
          editions.find((edition) => edition.pack.version === version && edition.from === from);
        const shipped = shelf.packs.filter((pack) => pack.id === id);
        return [
          ...shipped.map((pack) => ({
            ...{ version: pack.version, hash: textHash(shippedText(pack)) },
            stands: standing(pack.version, -Infinity),
          })),
          ...own.map((row) => ({
            ...{ version: row.version, hash: row.hash, publication: row },
            stands: standing(row.version, row.effective),
          })),
        ];
      });
    },

    async text(organisation, id, version): Promise<StoredText | undefined> {
      const found = (await this.versions(organisation, id)).find((each) => each.version === version);
      const number = found?.publication?.number;
      const stored = number && (await reading(organisation, (tx) => publicationAt(tx, organisation, number)));
      const shipped = shelf.files.find(({ pack }) => pack?.id === id && pack.version === version);
      const text = stored ? stored.content : shipped?.text;
      if (found === undefined || text === undefined) return undefined;
      // Found without fault when it was published or shipped; a later release may read less.
      return { ...found, text, pack: readPack(text, `${id}@${version}`).pack };
    },

    inTurn: (organisation, work) => turns.take(organisation, work),

    async diagnose(organisation, text, file) {
      const { reads } = await present(organisation);
      const { packs, diagnostics, sound, beside } = candidates([{ file, text }], reads);
      const [pack] = packs;
      return pack === undefined || !sound ? { diagnostics } : { diagnostics, pack, ...(await tested([pack], beside)) };
    },

    async publish(organisation, draft, lastHash): Promise<PublishAnswer> {
      const answer = await publish(ledger, organisation, draft, lastHash);
      if ('refused' in answer) return answer;
      const none: Rejudged = { sites: 0, pending: [], changes: [] };
      const replay = answer.isNew ? await rejudgeAll(ledger, intake.background, organisation, patience) : none;
      return { ...answer, replay };
    },
  };
}
