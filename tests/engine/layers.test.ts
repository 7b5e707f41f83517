import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { effectiveLimits, type EffectiveLimit } from '../../src/engine/limits.js';
import { dueAfter } from '../../src/engine/calendar.js';
import { Office } from './office.js';

const head = (id: string, layer: string, more = '') => `pack: ${id}\nlayer: ${layer}\n${more}`;
const us = 'jurisdiction: us\n';
const age = (max: string, severity: string) =>
  `limits: [{ id: chemistry-age, of: chemistry.age, max: ${max}, severity: ${severity} }]\n`;
const law = head('us/law', 'state', us) + age('2 mo', 'law');
const time = (bound: string, severity: string, more = '') =>
  `limits: [{ id: time-min, of: run.developer.time, ${bound}, severity: ${severity}${more} }]\n`;
const chart = (id: string, rows: string, more = '') =>
  `charts: [{ id: ${id}, title: chart ${id}, answers: time-min, by: run.developer.temperature, gives: run.developer.time, units: { by: Cel, gives: min }, rows: ${rows}${more} }]\n`;

function limitsOf(packs: readonly string[], at = '2026-03-20T08:00', change?: string): EffectiveLimit[] {
  const office = new Office(packs);
  if (change !== undefined)
    for (const bath of ['developer', 'fixer']) office.add(change, 'chemistry.changed', { line: 'M1', bath });
  return effectiveLimits(office.fold(at).state, office.at(at), office.book);
}
function only(packs: readonly string[], id = 'chemistry-age', at?: string, change?: string): EffectiveLimit {
  const found = limitsOf(packs, at, change).filter(({ limit, line }) => limit === id && (line ?? 'M1') === 'M1');
  expect(found).toHaveLength(1);
  return found[0] as EffectiveLimit;
}
const idle = (limit: EffectiveLimit) =>
  limit.chain.flatMap(({ pack, noEffect = [] }) => noEffect.map((each) => `${pack} ${each.side} < ${each.pack}`));

describe('L7: a looser limit has no effect, and that is reported', () => {
  const clinic = (bound: string, severity = 'warning') => head('test/clinic', 'clinic') + age(bound, severity);

  test("an office's own that is looser than the law is told with the stricter citation", () => {
    const found = only([law, clinic('90 d')]);
    expect(idle(found)).toEqual(['test/clinic max < us/law']);
    expect(found.chain[1]?.noEffect?.[0]).toMatchObject({ text: '2 months', layer: 'state', same: false });
    expect(found.told).toContain(
      'Your own limit, at most 90 days, has no effect: test (Test) is stricter, at most 2 months.',
    );
    expect(found.told).toContain('The strictest is test: at most 2 months.');
  });
  test('the strictest is named on what both come to, and not where it depends', () => {
    expect(only([law, clinic('90 d')]).strictest).toMatchObject([{ side: 'max', pack: 'us/law', text: '2 months' }]);
    expect(
      only([law, clinic('60 d')], 'chemistry-age', '2026-07-20T08:00', '2026-07-10T08:00').strictest,
    ).toMatchObject([{ pack: 'test/clinic' }]);
    const rows = (id: string, list: string) => chart(id, list) + time(`min: { chart: ${id} }`, 'law');
    const crossing = [
      head('us/law', 'state', us) + rows('us/chart', '[[20, 5], [22, 4]]'),
      head('us/county', 'county', us) + rows('us/other', '[[20, 4], [22, 5]]'),
    ];
    expect(only(crossing, 'time-min').strictest).toEqual([]);
  });
  test('one that is stricter has, and one that is graver though looser has too', () => {
    expect(idle(only([law, clinic('30 d')]))).toEqual([]);
    expect(idle(only([law.replace('severity: law', 'severity: advice'), clinic('90 d')]))).toEqual([]);
  });
  test('the same again is told as such', () => {
    expect(only([law, clinic('2 mo')]).told).toContain(
      'Your own limit, at most 2 months, has no effect: test (Test) asks for as much already, at most 2 months.',
    );
  });
  test.each([
    // Two months from 10 July are 62 days, from 10 January 59.
    ['2026-07-10T12:00', []],
    ['2026-01-10T12:00', ['test/clinic max < us/law']],
  ])('60 days beside two months: the due instant decides, from %s', (change, expected) => {
    const at = change.replace('10T', '20T');
    expect(idle(only([law, clinic('60 d')], 'chemistry-age', at, change))).toEqual(expected);
  });
  test('of two laws the looser; of two that say the same neither', () => {
    const federal = (max: string) => head('us/federal', 'federal', us) + age(max, 'law');
    expect(idle(only([law, federal('3 mo')]))).toEqual(['us/federal max < us/law']);
    expect(idle(only([law, federal('2 mo')]))).toEqual([]);
  });

  test.each([
    ['rows above the rows', '[[20, 5.5], [22, 4]]', []],
    ['rows below the rows', '[[20, 4.5], [22, 3]]', ['test/clinic min < us/law']],
    ['rows below, but further than the law goes', '[[20, 4.5], [22, 3], [24, 2]]', []],
    ['rows that cross the rows', '[[20, 4.5], [21, 5.5], [22, 3]]', []],
  ])('against a chart: %s', (_what, rows, expected) => {
    const state =
      head('us/law', 'state', us) + chart('us/chart', '[[20, 5], [22, 3]]') + time('min: { chart: us/chart }', 'law');
    const own = head('test/clinic', 'clinic') + chart('test/own', rows) + time('min: { chart: test/own }', 'warning');
    expect(idle(only([state, own], 'time-min'))).toEqual(expected);
  });
  test('a number beside a chart still stands where the chart has no answer', () => {
    const state =
      head('us/law', 'state', us) + chart('us/chart', '[[20, 5], [22, 3]]') + time('min: { chart: us/chart }', 'law');
    expect(idle(only([state, head('test/clinic', 'clinic') + time('min: 2 min', 'warning')], 'time-min'))).toEqual([]);
  });

  test("the maker's sheet that answers in place of a law's chart is what the office's own is held against", () => {
    const state = (role: string) =>
      head('us/law', 'state', us) +
      chart('us/chart', '[[20, 5], [22, 4]]') +
      time('min: { chart: us/chart }', 'law', role);
    const own =
      head('test/clinic', 'clinic') +
      chart('test/own', '[[20, 5.5], [22, 4.5]]') +
      time('min: { chart: test/own }', 'warning');
    const sheet = head('test/sheet', 'maker') + chart('maker/sheet', '[[20, 6], [22, 5]]');
    expect(idle(only([state(''), own, sheet], 'time-min'))).toEqual([]);
    const fallback = only([state(', role: fallback'), own, sheet], 'time-min');
    expect(idle(fallback)).toEqual(['test/clinic min < us/law']);
    expect(fallback.told).toContain("The maker's sheet on file, chart maker/sheet, answers in its place.");
    // Either satisfies, so only what breaks both is broken: the office's own is stricter than that.
    const alternative = only([state(', role: alternative'), own, sheet], 'time-min');
    expect(idle(alternative)).toEqual([]);
    expect(alternative.told).toContain(
      "Its own chart or the maker's sheet on file, chart maker/sheet: either satisfies.",
    );
    expect(only([state(', role: fallback'), own], 'time-min').told).toContain(
      "A maker's sheet on file would answer in its place; there is none for this line.",
    );
  });

  test('what is told to have no effect never changes a finding', () => {
    let idles = 0;
    const bound = fc.constantFrom('1 min', '2 min', '3 min', '4 min', '{ chart: us/chart }', '{ chart: test/own }');
    const layer = fc.constantFrom('clinic', 'practice', 'county');
    const severity = fc.constantFrom('advice', 'warning', 'law');
    const grave = fc.constantFrom('warning', 'law', 'law');
    const rows = fc.tuple(fc.integer({ min: 1, max: 8 }), fc.integer({ min: 1, max: 8 }));
    fc.assert(
      fc.property(
        bound,
        bound,
        layer,
        grave,
        severity,
        rows,
        rows,
        fc.boolean(),
        (a, b, whose, s1, s2, r1, r2, line) => {
          const straight = line ? ', lookup: linear' : '';
          const table = (id: string, [low, high]: [number, number]) =>
            chart(id, `[[20, ${low / 2}], [24, ${high / 2}]]`, straight)
              .replace(/^charts: \[/, '')
              .replace(/\]\n$/, '');
          const check =
            'checks: [{ id: short, title: Short, on: film.processed, about: run, when: { fact: run.developer.time, operator: below, value: { limit: time-min } }, say: short, $tests }]\n';
          const state =
            head('us/law', 'state', us) +
            `charts: [${table('us/chart', r1)}, ${table('test/own', r2)}]\n` +
            time(`min: ${a}`, s1) +
            check;
          const asked = whose !== 'county' && s2 === 'law' ? 'standard' : s2;
          const own = head('test/one', whose, whose === 'county' ? us : '') + time(`min: ${b}`, asked);
          if (!idle(only([state, own], 'time-min')).includes('test/one min < us/law')) return;
          idles += 1;
          const severities = (packs: string[]) => {
            const office = new Office(packs);
            for (const [day, temperature] of [19, 20, 21, 22, 23, 24, 25].entries())
              for (const [hour, minutes] of [0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4].entries())
                office.add(`2026-03-0${day + 1}T0${hour + 1}:00`, 'film.processed', {
                  ...{ line: 'M1', method: 'manual', count: 1 },
                  developer: {
                    temperature: { value: temperature, unit: 'Cel' },
                    time: { value: minutes, unit: 'min' },
                  },
                });
            return office.findings().map(({ openedAt, severity: found }) => [openedAt, found]);
          };
          expect(severities([state, own])).toEqual(severities([state]));
        },
      ),
      { numRuns: 40 },
    );
    expect(idles).toBeGreaterThan(0);
  });
});

describe('an empty intersection names both citations', () => {
  test("the law's most against the office's own least", () => {
    const state =
      head('us/law', 'state', us) + time('max: 4 min', 'law', ', citation: { text: State code 1, read: text }');
    const own =
      head('test/clinic', 'clinic') +
      time('min: 5 min', 'warning', ', citation: { text: House rule 7, read: practice }');
    const found = only([state, own], 'time-min');
    expect(found.conflict).toEqual(['House rule 7', 'State code 1']);
    expect(found.told.at(-1)).toBe('These cannot both be kept: House rule 7 and State code 1.');
  });
  test('charts that clash at one reading only are told with it', () => {
    const state =
      head('us/law', 'state', us) + chart('us/most', '[[20, 6], [22, 3]]') + time('max: { chart: us/most }', 'law');
    const county =
      head('us/county', 'county', us) +
      chart('us/least', '[[20, 5], [22, 4]]') +
      time('min: { chart: us/least }', 'law');
    const found = only([state, county], 'time-min');
    expect(found.conflict).toEqual(['test', 'test']);
    expect(found.told.at(-1)).toContain('test and test, where developer temperature');
    expect(found.told.at(-1)).toContain('71.6 F');
    const fitting = county.replace('[22, 4]', '[22, 3]');
    expect(only([state, fitting], 'time-min').conflict).toBeUndefined();
  });
  test('practice against practice is let be', () => {
    const most = head('test/most', 'practice') + time('max: 4 min', 'advice');
    const least = head('test/least', 'maker') + time('min: 5 min', 'advice');
    expect(only([most, least], 'time-min').conflict).toBeUndefined();
  });
});

describe('limits that begin and that ended', () => {
  const coming = (from: string, max: string, id = 'us/new') =>
    head(id, 'state', `${us}from: ${from}\n`) + age(max, 'law');
  test('one that begins within 60 days is told before it bites, with what it takes the place of', () => {
    const found = only([law.replace(us, `${us}to: '2026-04-30'\n`), coming('2026-05-01', '45 d', 'us/law')]);
    expect(found.starts).toMatchObject([{ pack: 'us/law', max: { text: '45 days' }, instead: 'at most 2 months' }]);
    expect(found.told).toContain(
      'From Fri 1 May 2026, in 42 days: Test (state) says at most 45 days, in place of at most 2 months; outside it is a breach of law. test (read as text).',
    );
    expect(found.ended).toBeUndefined();
  });
  test.each([
    ['2026-05-18', true],
    ['2026-05-19', true],
    ['2026-05-20', false],
  ])('60 days ahead and no more: from %s', (from, told) => {
    const found = only([law, coming(from, '45 d')], 'chemistry-age', '2026-03-20T00:00');
    expect(found.starts !== undefined).toBe(told);
  });
  test('one that will have no effect says so', () => {
    const [, ...told] = only([law, coming('2026-04-01', '90 d')]).told;
    expect(told.join(' ')).toContain('has no effect: test (Test) is stricter, at most 2 months.');
  });
  test('where nobody speaks yet, what begins is told all the same', () => {
    const found = only([coming('2026-04-01', '45 d')]);
    expect(found.chain).toEqual([]);
    expect(found.told[0]).toContain('Nobody speaks on it at present.');
    expect(found.starts).toHaveLength(1);
  });
  test('an ended limit is explicit for a year, unless something has taken its place', () => {
    const old = law.replace(us, `${us}to: 2026-02-28\n`);
    const found = only([old]);
    expect(found.chain).toEqual([]);
    expect(found.told).toContain(
      'Ended, last in force on Sat 28 Feb 2026: Test (state) said at most 2 months. test (read as text). Nothing has taken its place.',
    );
    expect(only([old, coming('2026-03-01', '45 d', 'us/next')]).ended).toBeUndefined();
    expect(limitsOf([old], '2027-02-28T08:00')).toHaveLength(2);
    expect(limitsOf([old], '2027-03-02T08:00')).toEqual([]);
  });
});

describe('limits of single baths', () => {
  const limits = (...of: [string | undefined, string, string][]) =>
    `limits: [${of.map(([bath, max, severity]) => `{ id: chemistry-age, of: chemistry.age, ${bath === undefined ? '' : `for: { bath: ${bath} }, `}max: ${max}, severity: ${severity} }`).join(', ')}]\n`;
  const state = head('us/law', 'state', us) + limits(['developer', '14 d', 'law'], ['fixer', '60 d', 'law']);
  const own = (id: string, dates: string, ...of: Parameters<typeof limits>) =>
    head(id, 'clinic', dates) + limits(...of);

  test('the bath is named, and the strictest is told for each that several speak of', () => {
    const county = head('us/county', 'county', us) + limits(['fixer', '30 d', 'law']);
    const found = only([state, county]);
    expect(found.strictest).toMatchObject([{ side: 'max', bath: 'fixer', pack: 'us/county', text: '30 days' }]);
    expect(found.told).toContain('The strictest for the fixer is test: at most 30 days.');
    expect(found.told.join(' ')).toContain('says at most 14 days for the developer;');
    expect(found.told.join(' ')).toContain('says at most 60 days for the fixer;');
    expect(found.told.join(' ')).not.toContain('The strictest is');
  });
  test('a limit of any bath speaks of each', () => {
    const county = head('us/county', 'county', us) + limits([undefined, '30 d', 'law']);
    expect(only([state, county]).strictest).toMatchObject([
      { bath: 'developer', pack: 'us/law', text: '14 days' },
      { bath: 'fixer', pack: 'us/county', text: '30 days' },
    ]);
  });
  test('what begins takes the place of what was said of the same bath', () => {
    const found = only([
      own('test/own', 'to: 2026-04-30\n', ['developer', '14 d', 'warning'], ['fixer', '60 d', 'warning']),
      own('test/own', 'from: 2026-05-01\n', ['developer', '14 d', 'warning'], ['fixer', '30 d', 'warning']),
    ]);
    expect(found.starts).toMatchObject([{ bath: ['fixer'], max: { text: '30 days' }, instead: 'at most 60 days' }]);
  });
  test('what is said beside a limit that stands takes the place of nothing', () => {
    const found = only([
      own('test/own', 'to: 2026-04-30\n', [undefined, '12 d', 'warning']),
      own('test/own', 'from: 2026-05-01\n', [undefined, '12 d', 'warning'], [undefined, '8 d', 'advice']),
    ]);
    expect(found.starts).toHaveLength(1);
    expect(found.starts?.[0]).toMatchObject({ max: { text: '8 days' } });
    expect(found.starts?.[0]?.instead).toBeUndefined();
  });
  test('one that ends while its pack goes on speaking of the other bath has ended', () => {
    const found = only(
      [
        own('test/own', 'to: 2026-04-30\n', ['developer', '14 d', 'warning'], ['fixer', '60 d', 'warning']),
        own('test/own', 'from: 2026-05-01\n', ['developer', '14 d', 'warning']),
      ],
      'chemistry-age',
      '2026-06-01T08:00',
    );
    expect(found.ended).toMatchObject([{ bath: ['fixer'], max: { text: '60 days' } }]);
  });
});

test('of a range that either chart satisfies no single side is told to do nothing', () => {
  const sheet = head('test/sheet', 'maker') + chart('maker/sheet', '[[15, 6], [25, 6]]');
  const range =
    head('test/beside', 'practice') +
    chart('test/chart', '[[15, 4], [25, 4]]') +
    time('range: { chart: test/chart, within: 30 s }', 'warning', ', role: alternative');
  const federal = head('us/law', 'federal', us) + time('range: 3.5 to 6.5 min', 'law');
  // Five minutes keep to the law and to neither chart.
  expect(idle(only([sheet, range, federal], 'time-min'))).toEqual([]);
  expect(idle(only([range, federal], 'time-min'))).toEqual(['test/beside min < us/law']);
});

test('days until a limit begins are days of the calendar, over a change of the clocks too', () => {
  const begins = (at: string) =>
    only([head('us/new', 'state', `${us}from: 2026-11-05\n`) + age('45 d', 'law')], 'chemistry-age', at).told[1];
  expect(begins('2026-10-30T00:00')).toMatch(/^From Thu 5 Nov 2026, in 6 days: /);
  expect(begins('2026-10-30T23:00')).toMatch(/^From Thu 5 Nov 2026, in 6 days: /);
  expect(begins('2026-11-04T23:30')).toMatch(/^From Thu 5 Nov 2026, in 1 day: /);
});

test('where the day decides which is stricter, it is named', () => {
  const own = head('test/clinic', 'clinic') + age('60 d', 'warning');
  const told = (at: string, change?: string) => only([law, own], 'chemistry-age', at, change).told.join(' ');
  // Without a fill on record both are counted from the day that is asked about.
  expect(told('2026-01-20T08:00')).toContain('at most 60 days, has no effect for a fill of today: test (Test)');
  expect(told('2026-01-20T08:00')).toContain('The strictest for a fill of today is test: at most 2 months.');
  expect(told('2026-07-20T08:00')).toContain('The strictest for a fill of today is test: at most 60 days.');
  expect(told('2026-01-20T08:00', '2026-01-10T08:00')).toContain('has no effect for the fills on record: test (Test)');
});

test('what a binding source did not show is told where it says nothing', () => {
  const silent = `${head('us/silent', 'federal', us)}notKnown: [{ topic: age of the bath, note: not read }]\n`;
  expect(only([law, silent]).told.at(-1)).toBe('Of Test nothing on it was read. Not known there: age of the bath.');
});

test('two calendar months and their due instants, as the test above has them', () => {
  const days = (from: string) => {
    const at = Date.parse(`${from}T12:00:00Z`);
    return Math.round((dueAfter(at, { count: 2, unit: 'mo' }, 'UTC') - at) / 86_400_000 - 0.5);
  };
  expect([days('2026-07-10'), days('2026-01-10')]).toEqual([62, 59]);
});
