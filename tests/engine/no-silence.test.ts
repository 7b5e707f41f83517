import { describe, expect, test } from '@jest/globals';
import { effectiveLimits } from '../../src/engine/limits.js';
import { notEvaluable } from '../../src/engine/not-evaluable.js';
import { degF, minutes, Office } from './office.js';

const rules = `pack: test/rules
layer: practice
limits:
  - { id: warm, of: developer.temperature, max: '80 [degF]', severity: warning }
  - { id: time, of: run.developer.time, min: 2 min, severity: warning }
checks:
  - id: warm
    title: Developer warm
    on: [bath.measured]
    about: line
    for: { bath: developer }
    when: { fact: developer.temperature, operator: above, value: { limit: warm } }
    say: warm
    $tests
  - id: short
    title: Developed too short
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: below, value: { limit: time } }
    say: short
    $tests
  - id: thermometer
    title: Thermometer off
    on: [instrument.checked]
    about: instrument
    when: { fact: instrument.temperatureError, operator: greaterThan, value: 1 K }
    severity: advice
    say: off
    $tests
  - id: odd
    title: Reading far off
    on: [bath.measured]
    about: instrument
    when: { fact: bath.temperature, operator: greaterThan, value: '110 [degF]' }
    severity: warning
    say: odd
    $tests
`;
const times = (head: string, limits: string, by = 'run.developer.temperature') => `${head}
charts:
  - id: ${head.slice(6, head.indexOf('\n'))}-times
    title: Times
    answers: time
    by: ${by}
    and: developer.age
    gives: run.developer.time
    units: { by: '[degF]', and: d, gives: min }
    rows: [[60, 0, 6], [60, 30, 7], [80, 0, 3], [80, 30, 4]]
${limits}`;
const byChart = (chart: string, more = '') =>
  `limits:\n  - { id: time, of: run.developer.time, min: { chart: ${chart} }, ${more}severity: warning }\n`;
const law = times('pack: us-xx/law\nlayer: state\njurisdiction: us-xx', byChart('us-xx/law-times', 'role: fallback, '));

function gaps(office: Office, rule: string, at = '2026-03-02T18:00') {
  const { state } = office.fold(at);
  return notEvaluable(state, office.at(at), office.book).filter((item) => item.rule === `test/rules/${rule}`);
}
const measured = (temperature: number, instrument?: string) => ({
  ...{ line: 'M1', bath: 'developer', temperature: degF(temperature) },
  ...(instrument === undefined ? {} : { instrument }),
});
const run = (time: number) => ({
  ...{ line: 'M1', method: 'manual', count: 2 },
  developer: { time: minutes(time), temperature: degF(68) },
});

describe('what an event reports with a doubtful instrument is a gap, not something it did not report (L17b)', () => {
  const failed = (): Office => {
    const office = new Office(rules);
    const check = { instrument: 'T1', kind: 'thermometer', reading: degF(75), reference: degF(68) };
    office.add('2026-03-02T07:00', 'instrument.checked', check);
    return office;
  };

  test('the reading is listed with its instrument until a good one', () => {
    const office = failed();
    office.add('2026-03-02T09:00', 'bath.measured', measured(95, 'T1'));
    expect(office.findings()).toMatchObject([{ rule: 'test/rules/thermometer' }]);
    expect(gaps(office, 'warm')).toMatchObject([
      { line: 'M1', missing: [{ fact: 'developer.temperature', why: 'doubtful', instrument: 'T1' }] },
    ]);
    office.add('2026-03-02T09:30', 'bath.measured', measured(95, 'T2'));
    expect(gaps(office, 'warm')).toEqual([]);
    expect(office.findings()).toContainEqual(expect.objectContaining({ rule: 'test/rules/warm' }));
  });

  test('a level read afterwards lacks no temperature: it counts once', () => {
    const office = failed();
    office.add('2026-03-02T09:00', 'bath.measured', measured(95, 'T1'));
    office.add('2026-03-02T09:10', 'bath.measured', { line: 'M1', bath: 'developer', level: 'full' });
    expect(gaps(office, 'warm')).toMatchObject([{ count: 1 }]);
  });
});

describe('a sheet by two facts', () => {
  test('without its second fact nothing is judged, and that is what is asked for', () => {
    const office = new Office([rules, law, times('pack: test/sheet\nlayer: maker', '')], undefined, {
      jurisdictions: ['us', 'us-xx'],
    });
    office.add('2026-03-02T08:00', 'film.processed', run(3));
    const [gap] = gaps(office, 'short');
    expect(gap?.missing).toMatchObject([{ fact: 'developer.age', send: [{ event: 'chemistry.changed' }] }]);
    office.add('2026-03-02T08:10', 'chemistry.changed', { line: 'M1', bath: 'developer' });
    office.add('2026-03-02T08:20', 'film.processed', run(3));
    expect(gaps(office, 'short')).toEqual([]);
  });

  test('what stands in for a chart is asked, not the chart: its facts alone are wanted', () => {
    const plain = `pack: test/plain
layer: maker
charts:
  - id: test/plain-times
    title: Plain times
    answers: time
    by: run.developer.temperature
    gives: run.developer.time
    units: { by: '[degF]', gives: min }
    rows: [[70, 4], [80, 3]]
`;
    const office = new Office([rules, law, plain], undefined, { jurisdictions: ['us', 'us-xx'] });
    office.add('2026-03-02T08:00', 'film.processed', run(5));
    const [gap] = gaps(office, 'short');
    expect(gap?.missing).toEqual([]);
    expect(gap?.unanswered).toMatchObject([{ chart: 'Plain times', why: 'below' }]);
  });
});

describe('a limit by a chart that is not in force at the site', () => {
  const own = `pack: test/own\nlayer: clinic\n${byChart('us-xx/law-times')}`;

  test('has no answer: not evaluable with its reason, in the list, on the board and where limits are told', () => {
    const office = new Office([rules, law, own]);
    office.add('2026-03-02T08:00', 'film.processed', run(5));
    const text = 'the chart us-xx/law-times, which a limit of time names, is not in force here';
    const [gap] = gaps(office, 'short');
    expect(gap?.unanswered).toEqual([
      { limit: 'time', pack: 'test/own', side: 'min', chart: 'us-xx/law-times', why: 'notInForce', text },
    ]);
    expect(gap?.text).toBe(`Not evaluable at M1 since Mon 2 Mar: ${text}.`);
    expect(office.board('2026-03-02T18:00').weekly.map((item) => item.text)).toContainEqual(
      expect.stringContaining(text),
    );
    const { state } = office.fold('2026-03-02T18:00');
    const told = effectiveLimits(state, office.at('2026-03-02T18:00'), office.book).flatMap((limit) => limit.told);
    expect(told).toContainEqual(
      expect.stringContaining('us-xx/law-times: the chart is not in force here, so it has no answer'),
    );
  });

  test('where it is in force it is judged', () => {
    const office = new Office([rules, law, own], undefined, { jurisdictions: ['us', 'us-xx'] });
    office.add('2026-03-02T07:00', 'chemistry.changed', { line: 'M1', bath: 'developer' });
    office.add('2026-03-02T08:00', 'film.processed', run(5));
    expect(gaps(office, 'short')).toEqual([]);
    expect(office.findings()).toMatchObject([{ rule: 'test/rules/short' }]);
  });
});

describe('a finding about a thing that the event does not name', () => {
  test('is not dropped without a word: what would have to be named is listed until it is', () => {
    const office = new Office(rules);
    office.add('2026-03-02T08:00', 'bath.measured', measured(120));
    expect(gaps(office, 'odd')).toMatchObject([
      {
        line: 'M1',
        text: 'Not evaluable at M1 since Mon 2 Mar: no instrument named; send bath.measured with instrument.',
        missing: [{ why: 'unnamed', send: [{ event: 'bath.measured', fields: ['instrument'] }] }],
      },
    ]);
    expect(office.board('2026-03-02T18:00').weekly).toContainEqual(
      expect.objectContaining({ rules: ['test/rules/odd'], send: ['bath.measured'] }),
    );
    office.add('2026-03-02T08:10', 'bath.measured', measured(120, 'T1'));
    expect(gaps(office, 'odd')).toEqual([]);
    expect(office.findings().map(({ rule }) => rule)).toContain('test/rules/odd');
  });

  test('one that has nothing to say lacks nothing', () => {
    const office = new Office(rules);
    office.add('2026-03-02T08:00', 'bath.measured', measured(70));
    expect(gaps(office, 'odd')).toEqual([]);
  });
});
