import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { createLedger, type Ledger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { rejudge } from '../../src/ledger/rejudge.js';
import type { PackBook } from '../../src/packs/book.js';
import { books } from '../oracle/publications.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, run, strip } from './office.js';
import { expected, headOf, organisationIn, standing } from './stored.js';

const start = Date.parse('2026-01-06T08:00:00Z');
const on = (day: number, minutes = 0) => new Date(start + day * 86_400_000 + minutes * 60_000).toISOString();

/** While packs are changed two releases run side by side, and each judges a site anew by its own. */
describeEachDatabase('two processes with different packs', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  const ledgerOf = (book: PackBook, own = database): Ledger =>
    createLedger({ database: own, book, now: () => start + 60 * 86_400_000, spacing: 4 });

  test('one that judged while the other was reading is not passed over: the last to judge is right', async () => {
    const organisation = await organisationIn(database);
    const events = [
      configured(),
      ...Array.from({ length: 12 }, (_, day) => [strip(on(day), day === 1 ? 4 : 0), run(on(day, 30), 5, 68)]).flat(),
    ];
    await new Intake(ledgerOf(shipped)).accept(organisation, events);
    // Two that differ throughout, and in what they say of the second day.
    const [whole, part] = [books[1], books[2]] as [PackBook, PackBook];

    // The second one has read the site's head, its checkpoints and the state it starts from when the first one judges.
    let calls = 0;
    const slow = Object.create(database) as TestDatabase;
    slow.withOrganisation = async (...args) => {
      const read = await database.withOrganisation(...args);
      if (++calls === 3) await rejudge(ledgerOf(whole), organisation, 'north');
      return read;
    };
    expect((await rejudge(ledgerOf(part, slow), organisation, 'north'))?.judged).toBe(true);
    expect(calls).toBeGreaterThan(3);
    const all = events.map(({ event }) => event);
    for (const book of [part, whole]) {
      if (book === whole) await rejudge(ledgerOf(book), organisation, 'north');
      const { swept_to } = await headOf(database, organisation, 'north');
      expect(await standing(database, organisation, 'north')).toEqual(expected(all, book, swept_to));
    }
  });
});
