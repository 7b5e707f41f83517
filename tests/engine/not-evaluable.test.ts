import { describe, expect, test } from '@jest/globals';
import { board } from '../../src/engine/board.js';
import { notEvaluable } from '../../src/engine/not-evaluable.js';
import { degF, minutes, Office } from './office.js';

const packs = `pack: test/rules
layer: state
jurisdiction: us
charts:
  - id: wall
    title: Wall chart
    answers: time
    by: run.developer.temperature
    gives: run.developer.time
    units: { by: '[degF]', gives: min }
    rows: [[68, 5], [72, 4], [76, 3]]
    doubtful: [74]
limits:
  - { id: time, of: run.developer.time, min: { chart: wall }, severity: law }
  - { id: age, of: chemistry.age, max: 90 d, severity: law }
checks:
  - id: short
    title: Developed too short
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: below, value: { limit: time } }
    say: short
    $tests
  - id: cold
    title: Developer cold
    on: [bath.measured, film.processed]
    about: line
    when: { fact: developer.temperature, operator: lessThan, value: '60 [degF]' }
    hold: line
    severity: warning
    say: 'cold: {developer.temperature}'
    $tests
  - id: thermometer
    title: Thermometer off
    on: [instrument.checked]
    about: instrument
    when: { fact: instrument.temperatureError, operator: greaterThan, value: 1 K }
    severity: warning
    say: off
    $tests
  - id: weak
    title: Fixer weak
    on: [bath.measured]
    about: fill
    for: { bath: fixer }
    when: { fact: bath.level, operator: equal, value: low }
    severity: warning
    say: weak
    $tests
duties:
  - id: change
    title: 'Change {line} chemistry'
    must: { event: chemistry.changed }
    per: bath
    for: { method: manual }
    every: { limit: age }
    say: change it
    $tests
`;

const run = (developer: object = {}) => ({ line: 'M1', method: 'manual', count: 2, developer });
const timed = (temperature?: number) =>
  run({ time: minutes(5), ...(temperature === undefined ? {} : { temperature: degF(temperature) }) });
const read = (temperature: number, instrument?: string) => ({
  ...{ line: 'M1', bath: 'developer', temperature: degF(temperature) },
  ...(instrument === undefined ? {} : { instrument }),
});
const thermometer = (reading: number) => ({
  ...{ instrument: 'T1', kind: 'thermometer', reading: degF(reading), reference: degF(68) },
});

/** What is not evaluable, by the last part of the rule. */
function list(office: Office, at: string) {
  const { state } = office.fold(at);
  return notEvaluable(state, office.at(at), office.book);
}
const of = (office: Office, rule: string, at = '2026-03-02T18:00') =>
  list(office, at).filter((item) => item.rule === `test/rules/${rule}`);

describe('what cannot be judged is told by rule and site, with the fact and the event that would supply it (L19)', () => {
  test('never read', () => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'film.processed', timed());
    office.add('2026-03-02T09:00', 'film.processed', timed());
    expect(of(office, 'cold')).toEqual([
      {
        rule: 'test/rules/cold',
        title: 'Developer cold',
        kind: 'check',
        topic: 'line:M1',
        line: 'M1',
        since: office.at('2026-03-02T08:00'),
        latest: office.at('2026-03-02T09:00'),
        count: 2,
        text: 'Not evaluable at M1 since Mon 2 Mar: no developer temperature within 4 h; send bath.measured with bath developer and temperature or day.opened with temperature.',
        missing: [
          {
            fact: 'developer.temperature',
            meaning: 'developer of the line, last reading within four hours',
            why: 'missing',
            text: 'no developer temperature within 4 h',
            goodFor: '4 h',
            send: [
              { event: 'bath.measured', with: { bath: 'developer' }, fields: ['temperature'] },
              { event: 'day.opened', with: {}, fields: ['line', 'temperature'] },
            ],
          },
        ],
        unanswered: [],
      },
    ]);
    expect(of(office, 'short')).toMatchObject([
      { missing: [{ fact: 'run.developer.temperature', why: 'missing' }], unanswered: [] },
    ]);
    expect(office.findings()).toEqual([]);
  });

  test('a reading that is too old says when it was read; one at its last minute is good', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:50', 'bath.measured', read(68));
    office.add('2026-03-02T11:50', 'film.processed', timed());
    expect(of(office, 'cold', '2026-03-02T11:55')).toEqual([]);
    office.add('2026-03-02T11:51', 'film.processed', timed());
    const [item] = of(office, 'cold');
    expect(item?.missing).toMatchObject([{ why: 'stale', readAt: office.at('2026-03-02T07:50') }]);
    expect(item?.text).toContain('no developer temperature within 4 h (last read Mon 2 Mar 07:50); send');
  });

  test('one read with an instrument that failed says so, and a reading with a good one ends it', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:50', 'bath.measured', read(68, 'T1'));
    office.add('2026-03-02T08:00', 'instrument.checked', thermometer(75));
    office.add('2026-03-02T08:10', 'film.processed', timed());
    const [item] = of(office, 'cold');
    expect(item?.missing).toMatchObject([{ why: 'doubtful', instrument: 'T1' }]);
    expect(item?.text).toContain('developer temperature in doubt: T1 failed its check, read Mon 2 Mar 07:50; send');
    office.add('2026-03-02T08:20', 'bath.measured', read(68));
    expect(of(office, 'cold')).toEqual([]);
  });

  test('what was met with it turns into not evaluable when the instrument fails (L17b)', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:50', 'bath.measured', read(68, 'T1'));
    office.add('2026-03-02T08:00', 'instrument.checked', thermometer(75));
    expect(of(office, 'cold')).toMatchObject([
      { missing: [{ fact: 'developer.temperature', why: 'doubtful', instrument: 'T1' }] },
    ]);
    expect(office.board('2026-03-02T09:00').cards.map(({ rule }) => rule)).toEqual(['test/rules/thermometer']);
  });

  test.each([
    [64, 'below', 'Wall chart has no answer for 64 F, under its first row'],
    [80, 'above', 'Wall chart has no answer for 80 F, over its last row'],
    [75, 'gap', 'Wall chart has no answer for 75 F, where it has a gap'],
  ])('a chart without an answer at %d F: %s', (temperature, why, text) => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'film.processed', timed(temperature));
    const [item, ...others] = of(office, 'short');
    expect(others).toEqual([]);
    expect(item).toMatchObject({
      missing: [],
      unanswered: [{ limit: 'time', pack: 'test/rules', side: 'min', chart: 'Wall chart', why, text }],
      text: `Not evaluable at M1 since Mon 2 Mar: ${text}.`,
    });
    const weekly = office.board('2026-03-02T18:00').weekly.map((each) => each.text);
    expect(weekly).toContain(`M1, since Mon 2 Mar: ${text}. Not judged for want of it: Developed too short.`);
    expect(office.findings()).toEqual([]);
    office.add('2026-03-02T09:00', 'film.processed', timed(70));
    expect(of(office, 'short')).toEqual([]);
  });

  test('a hold stands while its check cannot be judged, and says so', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:50', 'bath.measured', read(55));
    office.add('2026-03-02T13:00', 'film.processed', timed(70));
    const [held] = office.findings();
    expect(of(office, 'cold')).toMatchObject([{ finding: held?.id, hold: 'line', missing: [{ why: 'stale' }] }]);
    expect(of(office, 'cold')[0]?.text).toMatch(/It holds M1 until it can be judged and passes\.$/);
    expect(office.board('2026-03-02T18:00').state).toBe('hold');
    office.add('2026-03-02T13:10', 'bath.measured', read(68));
    expect(of(office, 'cold')).toEqual([]);
    expect(office.board('2026-03-02T18:00').state).toBe('clear');
  });

  test('a duty whose interval a limit gives waits for its first record', () => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'chemistry.changed', { line: 'M1', bath: 'developer' });
    expect(of(office, 'change')).toMatchObject([
      {
        title: 'Change M1 chemistry',
        kind: 'duty',
        topic: 'line:M1',
        bath: 'fixer',
        since: office.at('2026-01-05T00:00'),
        text: 'Not evaluable at M1 fixer since Mon 5 Jan: nothing on record of when it was last done; send chemistry.changed with bath fixer. Until then it is counted from that day, as a warning at most.',
        missing: [{ send: [{ event: 'chemistry.changed', with: { bath: 'fixer' }, fields: [] }] }],
      },
    ]);
    office.add('2026-03-02T08:01', 'chemistry.changed', { line: 'M1', bath: 'fixer' });
    expect(of(office, 'change')).toEqual([]);
  });

  test('what would be said of a fill waits until its change is on record', () => {
    const office = new Office(packs);
    const low = { line: 'M1', bath: 'fixer', level: 'low' };
    office.add('2026-03-02T08:00', 'bath.measured', low);
    expect(of(office, 'weak')).toMatchObject([{ missing: [{ fact: 'chemistry.since' }] }]);
    expect(of(office, 'weak')[0]?.text).toContain('no last change of the chemistry on record; send chemistry.changed');
    office.add('2026-03-02T08:10', 'chemistry.changed', { line: 'M1', bath: 'fixer' });
    office.add('2026-03-02T08:20', 'bath.measured', low);
    expect(of(office, 'weak')).toEqual([]);
    expect(office.findings()).toMatchObject([{ rule: 'test/rules/weak' }]);
  });
});

describe('it is no card, and goes with its rule and its line', () => {
  const told = () => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'film.processed', timed());
    return office;
  };
  const setUp = (office: Office, more: object) =>
    office.add('2026-03-03T08:00', 'site.configured', {
      ...{ name: 'Test office', zone: office.zone, jurisdictions: ['us'], tubes: [] },
      ...{ lines: [{ id: 'M1', method: 'manual' }] },
      ...more,
    });

  test('the board is clear', () => {
    const office = told();
    const at = office.at('2026-03-02T18:00');
    expect(board(office.fold('2026-03-02T18:00').state, at, office.book)).toMatchObject({ state: 'clear', cards: [] });
  });

  test.each([
    ['the line ends', { lines: [{ id: 'M1', method: 'manual', ended: true }] }],
    ['the office moves', { jurisdictions: ['us-zz'] }],
  ])('%s', (_what, more) => {
    const office = told();
    expect(list(office, '2026-03-02T18:00').length).toBeGreaterThan(2);
    setUp(office, more);
    expect(list(office, '2026-03-03T18:00')).toEqual([]);
    expect(office.fold('2026-03-03T18:00').state.unevaluable).toEqual({});
  });

  test('a day in another year is told with its year', () => {
    const office = told();
    expect(of(office, 'cold', '2027-01-02T08:00')[0]?.text).toContain('since Mon 2 Mar 2026:');
  });
});
