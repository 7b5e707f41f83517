import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../../src/canonical-json.js';
import { dueAfter, siteDay } from '../../src/engine/calendar.js';
import { advance, cloneState } from '../../src/engine/fold.js';
import { dayStart, localDay } from '../../src/local-day.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { Office } from './office.js';

const hour = 3_600_000;
const day = 24 * hour;
const instant = (text: string) => Date.parse(text);

describe('days of a zone', () => {
  test.each([
    ['an ordinary day', 'America/Chicago', '2026-01-05', '2026-01-05T06:00Z', 24],
    ['the hour that is left out in spring', 'America/Chicago', '2026-03-08', '2026-03-08T06:00Z', 23],
    ['the hour that comes twice in autumn', 'America/Chicago', '2026-11-01', '2026-11-01T05:00Z', 25],
    ['clocks put back by half an hour', 'Australia/Lord_Howe', '2026-04-05', '2026-04-04T13:00Z', 24.5],
    ['clocks put forward by half an hour', 'Australia/Lord_Howe', '2026-10-04', '2026-10-03T13:30Z', 23.5],
    ['a midnight that is left out', 'Asia/Beirut', '2026-03-29', '2026-03-28T22:00Z', 23],
    ['the day after it begins at midnight', 'Asia/Beirut', '2026-03-30', '2026-03-29T21:00Z', 24],
    [
      'a midnight that comes twice begins the day the first time',
      'America/Havana',
      '2026-11-01',
      '2026-11-01T04:00Z',
      25,
    ],
    ['… and so on the Azores', 'Atlantic/Azores', '2026-10-25', '2026-10-25T00:00Z', 25],
    ['clocks put back at a minute past midnight', 'America/St_Johns', '2010-11-07', '2010-11-07T02:30Z', 25],
    ['a day that the zone skipped has no length', 'Pacific/Apia', '2011-12-30', '2011-12-30T10:00Z', 0],
    ['… and the next begins where it would have', 'Pacific/Apia', '2011-12-31', '2011-12-30T10:00Z', 24],
    ['the leap day', 'Asia/Kolkata', '2028-02-29', '2028-02-28T18:30Z', 24],
  ])('%s (%s, %s)', (_what, zone, date, start, hours) => {
    const next = new Date(instant(`${date}T00:00Z`) + day).toISOString().slice(0, 10);
    expect(new Date(dayStart(date, zone)).toISOString()).toBe(new Date(start).toISOString());
    expect((dayStart(next, zone) - dayStart(date, zone)) / hour).toBe(hours);
  });

  test('follow one another without gap or overlap in every zone, whatever was asked before', () => {
    const zones = Intl.supportedValuesOf('timeZone');
    fc.assert(
      fc.property(
        fc.constantFrom(...zones),
        fc.integer({ min: 0, max: 2_200_000_000 }),
        fc.integer({ min: -30 * hour, max: 30 * hour }),
        (zone, second, off) => {
          const at = second * 1000;
          const asked = localDay(at, zone);
          expect(asked.start <= at && at < asked.end).toBe(true);
          expect(localDay(asked.start, zone)).toEqual(asked);
          expect(localDay(asked.end - 1, zone)).toEqual(asked);
          expect(localDay(asked.end, zone).start).toBe(asked.end);
          // The engine remembers the latest day: that must never show.
          siteDay(at + off, zone);
          expect(siteDay(at, zone)).toEqual(asked);
        },
      ),
      { numRuns: 1500 },
    );
  });

  test.each([
    ['two months from 31 December end with February', '2026-12-31', { count: 2, unit: 'mo' }, '2027-03-01'],
    ['… which has a day more in a leap year', '2027-12-31', { count: 2, unit: 'mo' }, '2028-03-01'],
    ['60 days from then come later in both', '2027-12-31', { count: 60, unit: 'd' }, '2028-03-01'],
    ['60 days from 31 December 2026', '2026-12-31', { count: 60, unit: 'd' }, '2027-03-02'],
    ['a month from 29 January of a leap year', '2028-01-29', { count: 1, unit: 'mo' }, '2028-03-01'],
    ['a month from 30 January of a leap year', '2028-01-30', { count: 1, unit: 'mo' }, '2028-03-01'],
    ['a year from the leap day is through 28 February', '2028-02-29', { count: 12, unit: 'mo' }, '2029-03-01'],
    ['four years from it are through the next leap day', '2028-02-29', { count: 48, unit: 'mo' }, '2032-03-01'],
    ['a day from 28 February of a leap year', '2028-02-28', { count: 1, unit: 'd' }, '2028-03-01'],
  ] as const)('%s', (_what, from, period, due) => {
    for (const zone of ['UTC', 'America/Chicago', 'Asia/Kolkata', 'Pacific/Auckland'])
      expect(dueAfter(dayStart(from, zone) + 9 * hour, period, zone)).toBe(dayStart(due, zone));
  });
});

const daily = (every: string, counts = 'always') => `pack: test/round
layer: practice
duties:
  - id: round
    title: Round at {line}
    must: { event: day.opened }
    per: line
    for: { method: manual }
    every: ${every}
    counts: ${counts}
    severity: warning
    say: No round
    $tests
`;
const everyDay = { workingDays: [1, 2, 3, 4, 5, 6, 7] };
const round = (office: Office, local: string) => office.add(local, 'day.opened', { line: 'M1' });
const openings = (office: Office, until: string) =>
  office.findings(until).map(({ openedAt, dueAt, state }) => {
    expect(openedAt).toBe(dueAt);
    return `${new Date(openedAt).toISOString()} ${state}`;
  });

describe('what falls due', () => {
  test.each([
    ['America/Chicago', '2026-03-07', '2026-03-09T05:00:00.000Z'],
    ['America/Chicago', '2026-10-31', '2026-11-02T06:00:00.000Z'],
    ['Australia/Lord_Howe', '2026-04-04', '2026-04-05T13:30:00.000Z'],
    ['Australia/Lord_Howe', '2026-10-03', '2026-10-04T13:00:00.000Z'],
    ['Asia/Beirut', '2026-03-28', '2026-03-29T21:00:00.000Z'],
    ['America/Havana', '2026-10-31', '2026-11-02T05:00:00.000Z'],
    // The 30th never came there: the day after the 29th was the 31st.
    ['Pacific/Apia', '2011-12-29', '2011-12-30T10:00:00.000Z'],
  ])('in %s a day after %s is dated at midnight, across the change of the clocks', (zone, date, due) => {
    const office = new Office(daily('1 d'), zone, everyDay, `${date}T08:00`);
    round(office, `${date}T08:05`);
    const before = foldSite(office.events, office.book, instant(due) - 1);
    const after = foldSite(office.events, office.book, instant(due));
    expect([...before.findings.values()]).toEqual([]);
    expect([...after.findings.values()].map(({ openedAt }) => new Date(openedAt).toISOString())).toEqual([due]);
  });

  test('a year of nobody posting: one finding a duty, the same in one step and in many', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('America/Los_Angeles', 'Asia/Beirut', 'Australia/Lord_Howe', 'America/Havana'),
        fc.array(fc.integer({ min: 0, max: 366 * 24 * 60 }), { maxLength: 40 }),
        (zone, stops) => {
          const office = new Office(daily('1 d'), zone, { jurisdictions: ['us', 'us-wa'] }, '2026-01-05T07:00');
          round(office, '2026-01-05T08:00');
          for (const book of [office.book, shipped]) {
            const { state } = foldSite(office.events, book);
            const [once, many] = [cloneState(state), cloneState(state)];
            const end = state.at + 366 * day;
            const straight = advance(once, end, book).map((finding) => canonicalJson(finding));
            const found = new Map<string, string>();
            for (const stop of [...stops]
              .sort((a, b) => a - b)
              .map((minute) => state.at + minute * 60_000)
              .concat(end))
              for (const finding of advance(many, stop, book)) found.set(finding.id, canonicalJson(finding));
            expect(canonicalJson(many)).toBe(canonicalJson(once));
            expect([...found.values()].sort()).toEqual(straight.sort());
            expect(straight.length).toBeGreaterThan(0);
            expect(straight.length).toBeLessThan(20);
          }
        },
      ),
      { numRuns: 25 },
    );
  });

  test('a closure that begins at an hour of a working day and ends with a day: time gets on', () => {
    const office = new Office(daily('1 d'), 'America/Chicago', {}, '2026-01-08T07:00');
    round(office, '2026-01-09T08:00');
    // Due on Sunday; owed on Monday, whose afternoon and the days after it are closed.
    office.add('2026-01-09T09:00', 'site.closed', { from: '2026-01-12T12:00:00-06:00', to: '2026-01-14' });
    expect(openings(office, '2026-01-15T23:59')).toEqual([]);
    expect(office.findings('2026-01-16T00:00')).toMatchObject([
      { openedAt: office.at('2026-01-16T00:00'), dueAt: office.at('2026-01-11T00:00') },
    ]);
  });

  test('a fold that does not get on names its site, its instant and the duty, instead of holding up the process', () => {
    const office = new Office(daily('1 d'), 'America/Chicago', everyDay, '2026-01-05T07:00');
    round(office, '2026-01-05T08:00');
    const { state } = foldSite(office.events, office.book);
    const rules = office.book.at(state.at, state.site ?? { zone: 'UTC', jurisdictions: [] });
    // A rule set that ends before it begins: the change of packs never passes.
    const book = Object.assign(Object.create(office.book) as typeof office.book, {
      at: () => ({ ...rules, to: state.at }),
    });
    expect(() => advance(state, state.at + day, book)).toThrow(
      /^Time does not get on at the site test from 2026-01-05T14:00:00.000Z/,
    );
  });
});

describe('a change of zone', () => {
  const office = new Office(daily('1 d'), 'America/Los_Angeles', everyDay, '2026-01-05T07:00');
  round(office, '2026-01-05T08:00');
  office.add('2026-01-05T10:00', 'site.configured', {
    name: 'Test office',
    zone: 'America/New_York',
    jurisdictions: ['us', 'us-ny'],
    lines: [{ id: 'M1', method: 'manual' }],
    tubes: [],
    ...everyDay,
  });

  test('waits for the end of the site-day; what came with it does not', () => {
    const before = office.fold('2026-01-05T23:59').state;
    expect([before.site?.zone, before.next?.zone]).toEqual(['America/Los_Angeles', 'America/New_York']);
    expect(before.lines['C1']?.config.ended).toBe(true);
    // What a sweep has to look at: the waiting configuration, or what falls due, whichever is first.
    expect(before.nextDue).toBe(office.at('2026-01-06T00:00'));
    const after = office.fold('2026-01-06T00:00').state;
    expect([after.site?.zone, after.next]).toEqual(['America/New_York', null]);
    expect(after.day).toEqual({
      start: instant('2026-01-06T05:00Z'),
      end: instant('2026-01-07T05:00Z'),
      date: '2026-01-06',
    });
  });

  test('what is done after it counts by the new days', () => {
    const moved = new Office(daily('1 d'), 'America/Los_Angeles', everyDay, '2026-01-05T07:00');
    moved.events.push(...office.events.slice(1));
    round(moved, '2026-01-06T08:00');
    // Through 7 January in New York, where midnight comes three hours earlier.
    expect(moved.findings('2026-01-07T20:59')).toEqual([]);
    expect(moved.findings('2026-01-07T21:00').map(({ openedAt }) => openedAt)).toEqual([instant('2026-01-08T05:00Z')]);
  });

  test('taken back on the same day by a configuration with the old zone, it never happens', () => {
    const stays = new Office(daily('1 d'), 'America/Los_Angeles', everyDay, '2026-01-05T07:00');
    stays.events.push(...office.events.slice(1));
    stays.add('2026-01-05T11:00', 'site.configured', {
      name: 'Test office',
      zone: 'America/Los_Angeles',
      jurisdictions: ['us'],
      lines: [{ id: 'M1', method: 'manual' }],
      tubes: [],
    });
    const { site, next } = stays.fold('2026-02-01T00:00').state;
    expect([site?.zone, next]).toEqual(['America/Los_Angeles', null]);
  });
});

describe('a snooze', () => {
  const snoozed = (until: string) => {
    const office = new Office(daily('1 d'), 'America/Chicago', everyDay, '2026-03-05T07:00');
    round(office, '2026-03-05T08:00');
    const target = { rule: 'test/round/round', topic: 'line:M1', instant: '2026-03-07T08:00:00-06:00' };
    office.add('2026-03-08T12:00', 'finding.snoozed', { ...target, until, reason: 'part ordered' });
    return office;
  };

  test('until a date lasts through that day by the clock of the site', () => {
    const office = snoozed('2026-03-09');
    expect(office.board('2026-03-09T23:59').cards).toEqual([]);
    expect(office.board('2026-03-10T00:00').cards).toHaveLength(1);
  });

  test('until an instant lasts until then', () => {
    const office = snoozed('2026-03-09T12:30:00-05:00');
    expect(office.board('2026-03-09T12:29').cards).toEqual([]);
    expect(office.board('2026-03-09T12:30').cards).toHaveLength(1);
  });
});

describe('packs that begin in a long silence', () => {
  const practice = 'layer: practice\n';
  const duty = (id: string, every: string, counts = 'always') =>
    `duties:\n  - { id: ${id}, title: ${id}, must: { event: day.opened }, per: line, every: ${every}, counts: ${counts}, severity: advice, say: '${id}', $tests }\n`;

  test.each([
    ['nothing else falls due', undefined],
    ['something falls due the day before they begin', '25 d'],
    ['something falls due on the day they begin', '26 d'],
    ['something falls due long after', '100 d'],
  ])('are in force from their first day on: %s', (_what, other) => {
    const packs = [`pack: test/late\n${practice}from: 2026-02-01\n${duty('late', '6 d')}`];
    if (other !== undefined) packs.push(`pack: test/other\n${practice}${duty('other', other)}`);
    const office = new Office(packs, 'America/Chicago', { workingDays: [1, 2, 3, 4, 5, 6, 7] });
    const begun = office.at('2026-02-01T00:00');
    expect(office.fold('2026-07-01T00:00').state.duties['test/late/late|M1||']?.since).toBe(begun);
    const [found] = office.findings('2026-07-01T00:00').filter(({ rule }) => rule === 'test/late/late');
    expect(found?.openedAt).toBe(office.at('2026-02-08T00:00'));
  });
});
