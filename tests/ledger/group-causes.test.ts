import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { GroupCauses, groupPack } from '../../src/delivery/group-causes.js';
import { Sweeper } from '../../src/delivery/sweeper.js';
import { learnedAt } from '../../src/engine/learning.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { publicationsOf } from '../../src/ledger/published.js';
import { stateAt } from '../../src/ledger/site-view.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, takenBack, told } from './office.js';
import { organisationIn } from './stored.js';

const day = 86_400_000;

/** An office with a light film that nobody knows the cause of. */
const office = (site: string) => [
  configured({ site }),
  told(
    'film.reviewed',
    '2026-03-03T09:00:00Z',
    { film: 'F-1', grade: 'unacceptable', signs: ['light_image'] },
    { site, id: `${site}-1` },
  ),
];
const confirmed = (site: string, time: string, rootCause: string) =>
  told(
    'cause.confirmed',
    time,
    { rule: 'defects/why/causes', topic: `film:pms/${site}-1`, instant: '2026-03-03T09:00:00Z', rootCause },
    { site },
  );

describeEachDatabase('what the sites of a group confirmed', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  test('is published once a day if it changed, counts at every site from then on, and is taken back', async () => {
    const organisation = await organisationIn(database);
    let now = Date.parse('2026-03-05T00:00:00Z');
    const only = Object.assign(Object.create(database) as TestDatabase, { organisations: async () => [organisation] });
    const ledger = createLedger({ database: only, book: shipped, now: () => now });
    const intake = new Intake(ledger);
    const sweeper = new Sweeper(ledger, { nightly: [new GroupCauses(ledger)] });
    const editions = () => database.withOrganisation(organisation, (tx) => publicationsOf(tx, organisation, groupPack));
    const learned = async (site: string, at = now) => {
      const view = await stateAt(ledger, organisation, site, at);
      return view === null ? undefined : learnedAt(view.state, at, view.book);
    };

    const first = confirmed('ash', '2026-03-04T10:00:00Z', 'dev_cold');
    await intake.accept(organisation, [...office('ash'), ...office('birch'), ...office('cedar'), first]);
    await sweeper.sweep();
    // One site alone is no group.
    expect(await editions()).toHaveLength(0);
    expect((await learned('ash'))?.causes).toMatchObject([{ cause: 'dev_cold', group: 0 }]);

    now += day;
    const second = confirmed('birch', '2026-03-05T10:00:00Z', 'dev_cold');
    await intake.accept(organisation, [second]);
    await sweeper.sweep();
    await sweeper.sweep();
    expect(await editions()).toHaveLength(1);
    const cedar = await learned('cedar');
    expect(cedar?.causes).toMatchObject([{ cause: 'dev_cold', site: 0 }]);
    expect(cedar?.causes[0]?.group).toBeGreaterThan(1.9);
    expect(cedar?.causes[0]?.now).toBeGreaterThan(cedar?.causes[0]?.published ?? 1);
    // No past judgement moves: before its publication nothing was learned there.
    expect((await learned('cedar', now - 1))?.causes).toEqual([]);

    now += day;
    await sweeper.sweep();
    expect(await editions()).toHaveLength(1);

    await intake.accept(organisation, [takenBack('2026-03-06T10:00:00Z', second, { site: 'birch' })]);
    now += day;
    await sweeper.sweep();
    expect(await editions()).toHaveLength(2);
    expect((await learned('cedar'))?.causes).toEqual([]);
    expect((await learned('birch'))?.causes).toEqual([]);
    expect((await learned('ash'))?.causes).toMatchObject([{ cause: 'dev_cold', group: 0 }]);
  });
});
