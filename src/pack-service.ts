import { type Rejudged, rejudgeAll } from './ledger/rejudge-all.js';
import type { Present, PackService, PackText, PackVersion, PublishAnswer } from './api/services.js';
import type { Transaction } from './db/port.js';
import type { Ledger } from './ledger/context.js';
import type { Intake } from './ledger/intake.js';
import { judging } from './ledger/judging.js';
import { publish, textHash } from './ledger/publish.js';
import { publicationAt, publicationsOf } from './ledger/published.js';
import type { PackBook } from './packs/book.js';
import { unspoken } from './packs/jurisdictions.js';
import type { Pack } from './packs/model.js';
import { checkPacks, formatDiagnostic, type PackRead, readPack } from './packs/reader/index.js';
import type { Shelf } from './rules.js';
import { runRuleTests } from './trials/rule-tests.js';

/** How long whoever publishes waits for the sites to be judged anew, ms. */
const patience = 10_000;

/** The packs of an organisation, shipped and published, as the API asks for them. */
export function packService({ shelf, ledger, intake }: { shelf: Shelf; ledger: Ledger; intake: Intake }): PackService {
  const reading = <T>(organisation: string, work: (tx: Transaction) => Promise<T>) =>
    ledger.database.withOrganisation(organisation, work);
  const shippedText = (pack: Pack) => shelf.files.find((each) => each.pack === pack)?.text ?? '';
  let shippedReads: readonly PackRead[] | undefined;

  async function bookOf(organisation: string): Promise<PackBook> {
    return reading(organisation, async (tx) => (await judging(ledger, tx, organisation)).book);
  }

  /** What a draft has to get on with: the newest text of every other pack. */
  async function others(organisation: string, id: string): Promise<PackRead[]> {
    return reading(organisation, async (tx) => {
      const reads: PackRead[] = [];
      const { book } = await judging(ledger, tx, organisation);
      const published = new Set<string>();
      for (const { pack, from } of book.editions) {
        if (from === -Infinity || pack.id === id) continue;
        published.add(pack.id);
        const own = await publicationsOf(tx, organisation, pack.id);
        const row = own.find(({ version }) => version === pack.version);
        const stored = row && (await publicationAt(tx, organisation, row.number));
        if (stored !== undefined) reads.push(readPack(stored.content, `${pack.id}@${pack.version}`));
      }
      const shipped = (shippedReads ??= shelf.files.map(({ text, file }) => readPack(text, file)));
      return [...shipped.filter(({ pack }) => pack?.id !== id && !published.has(pack?.id ?? '')), ...reads];
    });
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

    async text(organisation, id, version): Promise<PackText | undefined> {
      const found = (await this.versions(organisation, id)).find((each) => each.version === version);
      const number = found?.publication?.number;
      const stored = number && (await reading(organisation, (tx) => publicationAt(tx, organisation, number)));
      const shipped = shelf.files.find(({ pack }) => pack?.id === id && pack.version === version);
      const text = stored ? stored.content : shipped?.text;
      if (found === undefined || text === undefined) return undefined;
      // Found without fault when it was published or shipped; a later release may read less.
      return { ...found, text, pack: readPack(text, `${id}@${version}`).pack };
    },

    async diagnose(organisation, text, file) {
      const read = readPack(text, file);
      const id = read.pack?.id;
      const known = await others(organisation, id ?? file);
      const across = checkPacks([...known, read]).filter((each) => each.file === file);
      const diagnostics = [...read.diagnostics, ...across].map((each) => ({
        ...each,
        shown: formatDiagnostic(each, text),
      }));
      if (read.pack === undefined || diagnostics.some(({ severity }) => severity === 'error')) return { diagnostics };
      const outcomes = runRuleTests([read.pack], [...known.flatMap(({ pack }) => pack ?? []), read.pack]);
      return { diagnostics, pack: read.pack, failed: outcomes.filter(({ failure }) => failure !== undefined) };
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
