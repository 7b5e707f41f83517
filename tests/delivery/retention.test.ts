import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { arrangeMonths } from '../../src/db/partitions.js';
import { periodOf, retentionPlan } from '../../src/delivery/retention.js';
import { retentionPeriods } from '../../src/delivery/retention-periods.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { configured, run } from '../ledger/office.js';
import { organisationIn } from '../ledger/stored.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';

const utc = (year: number, month: number) => Date.UTC(year, month - 1);

describe('a record-keeping period', () => {
  test('is the longest of all jurisdictions a site was in; one without a period keeps everything', () => {
    const policy = new Map([
      ['us', 24],
      ['us-mn', 60],
    ]);
    expect(periodOf(['us', 'us-mn'], policy)).toEqual({ months: 60, unknown: [] });
    expect(periodOf(['us', 'us-nm'], policy)).toEqual({ months: null, unknown: ['us-nm'] });
    expect(periodOf([], policy)).toEqual({ months: null, unknown: [] });
  });

  test('for one kind of record does not let the others go', () => {
    expect(retentionPeriods.map(({ jurisdiction }) => jurisdiction)).toContain('us-wa');
    expect(periodOf(['us-wa'], new Map())).toEqual({ months: null, unknown: ['us-wa'] });
  });

  test('that was read carries its source', () => {
    for (const period of retentionPeriods) {
      expect(period).toMatchObject({
        citation: expect.stringMatching(/\d/),
        url: expect.stringMatching(/^https:\/\//),
      });
    }
  });
});

describeEachDatabase('the retention plan', (open) => {
  let database: TestDatabase;
  const now = utc(2026, 11);
  beforeAll(async () => {
    database = await open();
    const accept = async (events: Parameters<Intake['accept']>[1]) => {
      const organisation = await organisationIn(database);
      const intake = new Intake(createLedger({ database, book: shipped, now: () => now }));
      const { results } = await intake.accept(organisation, events);
      expect(results.map(({ status }) => status)).toEqual(events.map(() => 'accepted'));
    };
    // Of two organisations: what one may let go is held by the other from its own first event on.
    await accept([configured({}, '2020-02-05T06:00:00Z'), run('2021-03-05T06:00:00Z', 5, 68)]);
    await accept([configured({ site: 'mill' }, '2022-06-05T06:00:00Z', { jurisdictions: ['us', 'us-mn'] })]);
    await arrangeMonths(database, now);
  });
  afterAll(() => database.drop());

  test('keeps everything as long as one period is not known', async () => {
    const { sites, months } = await retentionPlan(database, now);
    expect(sites.map(({ months: kept }) => kept)).toEqual([null, null]);
    expect(months.filter(({ past }) => past).map(({ name }) => name)).toEqual(['event_early']);
    expect(months.find(({ name }) => name === 'event_2021_03')?.heldBy).toHaveLength(1);
  });

  test('shows the months past every period of every organisation, to the month', async () => {
    const decided = new Map([
      ['us', 36],
      ['us-wa', 36],
    ]);
    const past = async (policy: ReadonlyMap<string, number>) =>
      (await retentionPlan(database, now, policy)).months.filter((month) => month.past).map(({ name }) => name);
    // From June 2022 on the other organisation's site keeps everything: nobody decided for Minnesota.
    expect((await past(decided)).at(-1)).toBe('event_2022_05');
    expect((await past(new Map([...decided, ['us-mn', 36]]))).at(-1)).toBe('event_2023_10');
    expect((await past(new Map([...decided, ['us-mn', 48]]))).at(-1)).toBe('event_2022_10');
  });

  test('refuses a period shorter than a law that was read', async () => {
    await expect(retentionPlan(database, now, new Map([['us-wa', 6]]))).rejects.toThrow(
      'us-wa: 6 months is shorter than the 12 months',
    );
  });
});
