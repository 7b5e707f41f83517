import { sqlState } from '../db/errors.js';
import type { Transaction } from '../db/port.js';
import {
  importAdminChanges,
  importEvents,
  importFindingChanges,
  importPacks,
  importRejected,
  importSites,
} from '../db/sql/import-organisation.js';
import { writeFindings } from '../db/sql/write-findings.js';
import { TransferError } from './error.js';
import type { Kind } from './lines.js';
import type { ReadLine } from './read.js';

const statements = {
  admin: importAdminChanges,
  pack: importPacks,
  site: importSites,
  event: importEvents,
  finding: writeFindings,
  change: importFindingChanges,
  rejected: importRejected,
} satisfies Partial<Record<Kind, string>>;
export type RowKind = keyof typeof statements;

const most = { lines: 1000, characters: 4 * 1024 * 1024 };

/** Lines on their way into the tables: one statement for as many of a kind as follow each other, up to a limit. */
export class Batch {
  #kind: RowKind | undefined;
  #texts: string[] = [];
  #characters = 0;
  #first = 0;

  constructor(
    private readonly tx: Transaction,
    private readonly organisation: string,
  ) {}

  async add(kind: RowKind, { number, text }: ReadLine): Promise<void> {
    if (kind !== this.#kind || this.#texts.length >= most.lines || this.#characters >= most.characters) {
      await this.flush();
      [this.#kind, this.#first] = [kind, number];
    }
    this.#texts.push(text);
    this.#characters += text.length;
  }

  /** @throws TransferError for rows that no table takes: twice the same key, a number too large, a text that cannot be stored. */
  async flush(): Promise<void> {
    const [kind, texts] = [this.#kind, this.#texts];
    [this.#kind, this.#texts, this.#characters] = [undefined, [], 0];
    if (kind === undefined) return;
    try {
      await this.tx.execute(statements[kind], this.organisation, `[${texts.join(',')}]`);
    } catch (error) {
      // Cardinality, data and integrity; whatever else goes wrong is not the file's fault.
      if (!/^2[123]/.test(sqlState(error) ?? '')) throw error;
      const reason = error instanceof Error ? error.message : String(error);
      throw new TransferError(
        `lines ${this.#first} to ${this.#first + texts.length - 1}: the database refuses them: ${reason}`,
        { cause: error },
      );
    }
  }
}
