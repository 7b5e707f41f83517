import { describe, expect, test } from '@jest/globals';
import { effectiveLimits } from '../../src/engine/limits.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { book } from '../published/office.js';
import { degF, minutes, Office } from './office.js';

const chart = (id: string, rows: string) => `
charts:
  - { id: ${id}, title: ${id}, answers: time-min, by: run.developer.temperature, gives: run.developer.time, for: {}, units: { by: '[degF]', gives: min }, rows: ${rows} }
`;
const rows = '[[68, 5], [70, 4.5], [72, 4], [76, 3]]';
const limit = (bound: string, severity: string, role = '') => `
limits:
  - { id: time-min, of: run.developer.time, ${bound}, severity: ${severity}${role} }
`;
const short = `
checks:
  - id: short
    title: Short
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: below, value: { limit: time-min } }
    say: '{run.developer.time} against {limit.time-min} of {who.time-min}, {short.time-min} short'
    $tests
`;
const rule = `pack: test/rule\nlayer: practice\n${limit('min: 1 min', 'advice')}${short}`;
const state = (role: string) =>
  `pack: us/state\nlayer: state\njurisdiction: us\n${chart('us/chart', rows)}${limit('min: { chart: us/chart }', 'law', role)}`;
const sheet = (sheetRows: string) => `pack: test/sheet\nlayer: maker\n${chart('maker/sheet', sheetRows)}`;

function developed(packs: readonly string[], temperature: number, time: number) {
  const office = new Office(packs);
  office.add('2026-03-02T08:00', 'film.processed', {
    line: 'M1',
    method: 'manual',
    count: 3,
    developer: { temperature: degF(temperature), time: minutes(time) },
  });
  return office.findings();
}

describe('L9: charts', () => {
  test.each([
    [70, 4.5, 0],
    [70, 4.4, 1],
    // Between two rows the colder one applies; a value exactly at the limit is within it.
    [69, 5, 0],
    [69, 4.9, 1],
    [76, 3, 0],
    // Outside the rows there is no answer, and no finding.
    [67, 1, 0],
    [77, 1.5, 0],
  ])('%d F for %d min: %d findings', (temperature, time, count) => {
    expect(developed([rule, state('')], temperature, time)).toHaveLength(count);
  });

  test('outside its rows the check is not evaluable, visibly', () => {
    const office = new Office([rule, state('')]);
    office.add('2026-03-02T08:00', 'film.processed', {
      line: 'M1',
      method: 'manual',
      count: 1,
      developer: { time: minutes(5) },
    });
    const [gap] = office.board('2026-03-02T12:00').weekly;
    expect(gap).toMatchObject({ kind: 'notEvaluable', rules: ['test/rule/short'], line: 'M1' });
    expect(gap?.send).toEqual(['bath.measured', 'day.opened', 'film.processed']);
    expect(gap?.text).toContain('developer temperature not recorded');
  });
});

describe('tables', () => {
  const table = (more: string, rowsOf: string) =>
    `pack: us/state\nlayer: state\njurisdiction: us\ncharts:\n  - { id: us/table, title: A table, answers: time-min, by: run.developer.temperature, gives: run.developer.time, ${more}, rows: ${rowsOf} }\n${limit('min: { chart: us/table }', 'law')}`;
  const units = "units: { by: '[degF]', gives: min }";
  const office = (pack: string, temperature: number, time: number) => {
    const made = new Office([rule, pack]);
    made.add('2026-03-02T08:00', 'film.processed', {
      line: 'M1',
      method: 'manual',
      count: 1,
      developer: { temperature: degF(temperature), time: minutes(time) },
    });
    return made;
  };

  test('on a straight line a value exactly at the limit is within it', () => {
    const straight = table(`lookup: linear, ${units}`, '[[68, 5], [72, 4]]');
    expect(office(straight, 71, 4.25).findings()).toHaveLength(0);
    expect(office(straight, 71, 4.24).findings()).toMatchObject([{ severity: 'law' }]);
  });

  test.each([
    ['between the rows of an exact table', `lookup: exact, ${units}`, '[[68, 5], [72, 4]]', 70],
    ['within a gap', `${units}, gaps: [[68, 72]]`, '[[68, 5], [72, 4]]', 70],
    ['where the copy is doubtful', `${units}, doubtful: [70]`, '[[68, 5], [72, 4]]', 71],
    ['outside the rows', units, '[[68, 5], [72, 4]]', 73],
  ])('%s nothing is found, and it is not passed either', (_what, more, rowsOf, temperature) => {
    const made = office(table(more, rowsOf), temperature, 1.5);
    expect(made.findings()).toEqual([]);
    const results: (boolean | undefined)[] = [];
    foldSite(made.events, made.book, undefined, ({ check, result }) => {
      if (check.id === 'test/rule/short') results.push(result);
    });
    expect(results).toEqual([undefined]);
  });

  test('by two facts: without the second there is no answer, and it is what is asked for', () => {
    const aged = table(
      "and: developer.age, units: { by: '[degF]', and: d, gives: min }",
      '[[68, 0, 5], [68, 30, 6], [70, 0, 4], [70, 30, 5]]',
    );
    const made = office(aged, 68, 5.5);
    expect(made.findings()).toEqual([]);
    expect(made.board('2026-03-02T12:00').weekly[0]).toMatchObject({ missing: ['developer.age'] });
    const fresh = new Office([rule, aged]);
    fresh.add('2026-02-01T08:00', 'chemistry.changed', { line: 'M1', bath: 'developer' });
    const run = (local: string) =>
      fresh.add(local, 'film.processed', {
        ...{ line: 'M1', method: 'manual', count: 1 },
        developer: { temperature: degF(68), time: minutes(5.5) },
      });
    run('2026-02-10T08:00');
    expect(fresh.findings()).toHaveLength(0);
    run('2026-03-03T08:00');
    expect(fresh.findings()).toMatchObject([{ message: '5:30 against 6:00 of test, 0:30 short' }]);
  });
});

describe("L7: the maker's sheet", () => {
  const makers = '[[68, 6], [72, 5]]';
  test('is not asked where the law does not defer to it', () => {
    expect(developed([rule, state(''), sheet(makers)], 70, 4.5)).toHaveLength(0);
  });
  test('takes the place of a fallback, longer or shorter, and is named', () => {
    const [finding] = developed([rule, state(', role: fallback'), sheet(makers)], 70, 5);
    expect(finding).toMatchObject({ severity: 'law', message: expect.stringContaining('5:00 against 6:00') });
    expect(finding?.chain.find(({ verdict }) => verdict === 'broken')?.chart).toBe('maker/sheet');
    expect(developed([rule, state(', role: fallback'), sheet('[[68, 3]]')], 70, 3)).toHaveLength(0);
  });
  test('beside an alternative either chart satisfies', () => {
    expect(developed([rule, state(', role: alternative'), sheet(makers)], 70, 4.5)).toHaveLength(0);
    expect(developed([rule, state(', role: alternative'), sheet('[[68, 3]]')], 70, 3.5)).toHaveLength(0);
    expect(developed([rule, state(', role: alternative'), sheet(makers)], 70, 4)).toHaveLength(1);
  });
  test('a time between two ranges keeps to neither', () => {
    const range = (role: string) =>
      `pack: us/state\nlayer: state\njurisdiction: us\n${chart('us/chart', rows)}${limit('range: { chart: us/chart, within: 15 s }', 'law', role)}`;
    const both = short.replace('below', 'outside');
    const found = (time: number) =>
      developed([rule.replace(short, both), range(', role: alternative'), sheet('[[68, 8]]')], 68, time);
    for (const time of [4.75, 5.25, 7.75, 8.25]) expect(found(time)).toHaveLength(0);
    for (const time of [4.7, 5.3, 6.5, 7.7, 8.3]) expect(found(time)).toMatchObject([{ severity: 'law' }]);
  });
  test('outside its rows it leaves the question open; two charts are never mixed', () => {
    expect(developed([rule, state(', role: fallback'), sheet(makers)], 66, 1.5)).toHaveLength(0);
  });
});

describe('L7, L8: layers', () => {
  const federal = (min: string) => `pack: us/federal\nlayer: federal\njurisdiction: us\n${limit(`min: ${min}`, 'law')}`;
  const clinic = (min: string) => `pack: test/clinic\nlayer: clinic\n${limit(`min: ${min}`, 'warning')}`;

  test('the strictest binding limit decides, and the message names it', () => {
    const [finding] = developed([rule, federal('2 min'), state('')], 70, 3);
    expect(finding).toMatchObject({ severity: 'law', message: '3:00 against 4:30 of test, 1:30 short' });
    expect(finding?.chain.map(({ layer, verdict }) => `${layer} ${verdict}`).sort()).toEqual([
      'federal met',
      'practice met',
      'state broken',
    ]);
  });
  test('practice beside the law has its own lower severity', () => {
    const strictPractice = `pack: test/strict\nlayer: practice\n${limit('min: 5 min', 'warning')}`;
    expect(developed([rule, strictPractice, state('')], 70, 4.7)).toMatchObject([{ severity: 'warning' }]);
    expect(developed([rule, strictPractice, state('')], 70, 4)).toMatchObject([{ severity: 'law' }]);
  });
  test('a clinic limit tightens; a looser one changes nothing', () => {
    expect(developed([rule, state(''), clinic('5 min')], 70, 4.7)).toMatchObject([{ severity: 'warning' }]);
    expect(developed([rule, state(''), clinic('1 min')], 70, 4.7)).toHaveLength(0);
    expect(developed([rule, state(''), clinic('1 min')], 70, 4)).toMatchObject([{ severity: 'law' }]);
  });
  test('binding limits that cannot both be kept name both citations', () => {
    const most =
      `pack: us/most\nlayer: county\njurisdiction: us\ncitation: { text: county code, read: text }\n`.replace(
        /citation.*\n/,
        '',
      );
    const office = new Office([rule, federal('9 min'), `${most}${limit('max: 8 min', 'law')}`]);
    const { state: folded } = office.fold('2026-03-02T08:00');
    const found = effectiveLimits(folded, office.at('2026-03-02T08:00'), office.book);
    expect(found.find(({ limit: id }) => id === 'time-min')?.conflict).toEqual(['test', 'test']);
  });
});

test('the shipped limits of rinsing, fixing and washing by the clock are for hands, not for a processor', () => {
  const office = new Office([], undefined, {
    lines: [
      { id: 'A1', method: 'automatic' },
      { id: 'C1', method: 'chairside', chemistry: 'rapid' },
      { id: 'M1', method: 'manual' },
    ],
  });
  const limits = effectiveLimits(office.fold().state, office.at('2026-03-02T08:00'), book);
  const byTime = (line: string) =>
    limits
      .filter((limit) => limit.line === line && /^run\.(rinse|fixer|wash)/.test(limit.of))
      .map(({ limit }) => limit);
  expect(byTime('A1')).toEqual([]);
  // At the chair for the second fixing and wash, and for films that were forgotten.
  expect(byTime('C1')).toEqual(['fixer-overnight', 'fixing-time-max', 'fixing-time-min', 'wash-time-min']);
  expect(byTime('M1')).toEqual([
    ...['fixer-overnight', 'fixing-time-by-clearing', 'fixing-time-max', 'fixing-time-min'],
    ...['rinse-time-min', 'wash-overnight', 'wash-time-min'],
  ]);
});
