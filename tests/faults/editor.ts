import { setTimeout as wait } from 'node:timers/promises';
import type { Database } from '../../src/db/port.js';
import { Books } from '../../src/ledger/books.js';
import { textHash } from '../../src/ledger/publish.js';
import type { PackBook } from '../../src/packs/book.js';
import type { Chance } from './chance.js';
import { type Clock, readClock } from './clock.js';
import { adminKey } from './process.js';

const id = 'office/strips';
const day = 86_400_000;

/** A limit that strips of the load break or keep, by the draw. */
const text = (number: number, steps: number) => `pack: ${id}
version: 1.${number}.0
title: The office's own strips
authority: The office
layer: clinic
citation: { text: 'The office, by agreement', read: practice }
limits:
  - { id: wedge-steps, of: wedge.steps, max: ${steps}, severity: advice }
`;

export interface EditorOptions {
  readonly chance: Chance;
  readonly clock: Clock;
  readonly urls: () => readonly string[];
}

/**
 * Somebody who publishes packs all the while: from now, back-dated, or for later; with the tag of the text that they have
 * seen, and again after every failure. What was answered is the model that the stored texts are held against.
 */
export class Editor {
  /** Hash of the text by version, of those that were answered as published. */
  readonly answered = new Map<string, string>();
  /** Of all that were sent, since an answer may be lost. */
  readonly sent = new Map<string, string>();
  readonly #options: EditorOptions;
  #stopped = false;

  constructor(options: EditorOptions) {
    this.#options = options;
  }

  stop(): void {
    this.#stopped = true;
  }

  async run(): Promise<void> {
    for (let number = 1; !this.#stopped; number++) {
      const { chance, clock } = this.#options;
      const draft = text(number, 1 + chance.below(3));
      const now = readClock(clock);
      const effective = chance.one([undefined, now - chance.below(20) * day, now + chance.below(10) * day]);
      await this.#publish(`1.${number}.0`, draft, effective);
      await wait(100 + chance.below(300));
    }
  }

  async #publish(version: string, draft: string, effective: number | undefined): Promise<void> {
    const query = effective === undefined ? '' : `?effective=${new Date(effective).toISOString()}`;
    while (!this.#stopped) {
      const urls = this.#options.urls();
      const url = urls[this.#options.chance.below(urls.length)];
      const status = url === undefined ? undefined : await this.#put(url, version, draft, query);
      if (status === 200 || status === 201) return void this.answered.set(version, textHash(draft));
      // It came in before, and the answer was lost.
      if (status === 409) return;
      await wait(20);
    }
  }

  async #put(url: string, version: string, draft: string, query: string): Promise<number | undefined> {
    const address = `${url}/v1/packs/${id}`;
    const authority = { Authorization: `Bearer ${adminKey}` };
    try {
      const seen = await fetch(address, { headers: authority, signal: AbortSignal.timeout(20_000) });
      await seen.arrayBuffer();
      const etag = seen.headers.get('etag');
      this.sent.set(version, textHash(draft));
      const answer = await fetch(address + query, {
        method: 'PUT',
        headers: {
          ...authority,
          'Content-Type': 'application/yaml',
          ...(etag === null ? {} : { 'If-Match': etag }),
        },
        body: draft,
        signal: AbortSignal.timeout(20_000),
      });
      await answer.arrayBuffer();
      return answer.status;
    } catch {
      return undefined;
    }
  }
}

/** What is wrong with the stored texts, held against what was sent and answered. */
export async function publicationFaults(database: Database, editor: Editor): Promise<string[]> {
  const rows = await database.withOrganisation('main', (tx) =>
    tx.query<{ number: number; version: string; hash: string; content: string }>(
      'select number, version, hash, content from pack_version where organisation = $1 order by number',
      'main',
    ),
  );
  const [{ publications = 0 } = {}] = await database.withOrganisation('main', (tx) =>
    tx.query<{ publications: number }>('select publications from organisation where organisation = $1', 'main'),
  );
  const stored = new Map(rows.map((row) => [row.version, row]));
  return [
    ...(publications === rows.length ? [] : [`${rows.length} texts are stored, ${publications} are counted`]),
    ...rows.flatMap(({ number }, index) => (number === index + 1 ? [] : [`publication ${number} is row ${index + 1}`])),
    ...[...editor.answered].flatMap(([version, hash]) =>
      stored.get(version)?.hash === hash ? [] : [`version ${version} was published, and is lost or another`],
    ),
    ...rows.flatMap(({ version, hash, content }) =>
      editor.sent.get(version) === hash && textHash(content) === hash ? [] : [`version ${version} was never sent so`],
    ),
  ];
}

/** What the organisation is judged by in the end. */
export function bookOf(database: Database, shipped: PackBook): Promise<PackBook> {
  return database.withOrganisation('main', (tx) => new Books(shipped).of(tx, 'main'));
}
