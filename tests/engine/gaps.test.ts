import { describe, expect, test } from '@jest/globals';
import { degF, minutes, Office } from './office.js';

const packs = `pack: test/gaps
layer: practice
limits:
  - { id: time, of: run.developer.time, min: 60 s, severity: warning }
  - { id: fog, of: darkroom.densityIncrease, max: 0.05 1, severity: standard }
  - { id: fixing, of: run.fixer.time, min: 10 min, severity: warning }
  - { id: clearing, of: run.fixer.time, min: { fact: fixer.clearingTime, times: 2 }, severity: warning }
  - { id: cold, of: developer.temperature, min: '60 [degF]', severity: warning }
checks:
  - id: leak
    title: Light leak
    on: [darkroom.checked]
    about: line
    when: { fact: darkroom.lightTight.outlineSeen, operator: equal, value: true }
    severity: standard
    say: leak
    $tests
  - id: fog
    title: Fog
    on: [darkroom.checked]
    about: line
    when: { fact: darkroom.safelight.densityIncrease, operator: above, value: { limit: fog } }
    say: fog
    $tests
  - id: low
    title: Bath low
    on: [bath.measured]
    about: line
    when: { fact: bath.level, operator: equal, value: low }
    severity: advice
    say: low
    $tests
  - id: cold
    title: Cold
    on: [bath.measured, day.opened, film.processed]
    about: line
    when: { fact: developer.temperature, operator: below, value: { limit: cold } }
    say: cold
    $tests
  - id: short
    title: Too short
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: below, value: { limit: time } }
    say: short
    $tests
  - id: very-short
    title: Too short
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: lessThan, value: 10 s }
    severity: warning
    say: very short
    $tests
  - id: fixing
    title: Fixing
    on: [film.processed]
    about: run
    when:
      any:
        - all:
            - { fact: fixer.clearingTimeKnown, operator: equal, value: true }
            - { fact: run.fixer.time, operator: below, value: { limit: clearing } }
        - all:
            - { fact: fixer.clearingTimeKnown, operator: equal, value: false }
            - { fact: run.fixer.time, operator: below, value: { limit: fixing } }
    say: fixing
    $tests
`;
const run = (more: object = {}) => ({ line: 'M1', method: 'manual', count: 2, ...more });
const gaps = (office: Office, at = '2026-03-02T18:00') =>
  office.board(at).weekly.filter(({ kind }) => kind === 'notEvaluable');

describe('an event that reports something else lacks nothing', () => {
  test('a test under the safelight is no test for light leaks, a coin no densitometer', () => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'darkroom.checked', {
      line: 'M1',
      test: 'safelight',
      lights: 'safelight',
      outlineSeen: false,
    });
    expect(office.fold().state.unevaluable).toEqual({});
  });

  test('a temperature alone is no level, a level alone no temperature, the fixer no developer, a round no thermometer', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:40', 'day.opened', { line: 'M1', water: true });
    office.add('2026-03-02T07:50', 'bath.measured', { line: 'M1', bath: 'fixer', temperature: degF(68) });
    office.add('2026-03-02T07:55', 'bath.measured', { line: 'M1', bath: 'developer', level: 'full' });
    expect(office.fold().state.unevaluable).toEqual({});
  });
});

describe('L19: what is really missing is recorded by rule and site, with the fact and the event that would supply it', () => {
  test('a run without its time, in a bath that nobody read', () => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'film.processed', run({ fixer: { time: minutes(10) } }));
    const { unevaluable } = office.fold().state;
    expect(Object.values(unevaluable).map(({ rule, missing }) => [rule, missing])).toEqual([
      ['test/gaps/cold', [{ fact: 'developer.temperature', why: 'missing' }]],
      ['test/gaps/short', [{ fact: 'run.developer.time', why: 'missing' }]],
      ['test/gaps/very-short', [{ fact: 'run.developer.time', why: 'missing' }]],
    ]);
  });

  test('only what is missing from the branch that is open', () => {
    const office = new Office(packs);
    office.add('2026-03-02T08:00', 'film.processed', run({ developer: { time: minutes(5) } }));
    const fixing = Object.values(office.fold().state.unevaluable).find(({ rule }) => rule === 'test/gaps/fixing');
    expect(fixing?.missing.map(({ fact }) => fact)).toEqual(['run.fixer.time']);
  });
});

describe('the weekly list says it once and plainly', () => {
  test('one item a line and record, each word once, the names of events in a field of their own', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:50', 'bath.measured', { line: 'M1', bath: 'developer', temperature: degF(68) });
    office.add('2026-03-02T08:00', 'film.processed', run());
    office.add('2026-03-02T09:00', 'film.processed', run());
    expect(gaps(office)).toEqual([
      {
        kind: 'notEvaluable',
        rules: ['test/gaps/short', 'test/gaps/very-short', 'test/gaps/fixing'],
        line: 'M1',
        text: 'M1, since Mon 2 Mar: time in the developer and time in the fixer not recorded. Not judged for want of it: Too short; Fixing.',
        since: office.at('2026-03-02T08:00'),
        missing: ['run.developer.time', 'run.fixer.time'],
        send: ['film.processed'],
      },
    ]);
    for (const { text } of gaps(office)) expect(text).not.toMatch(/[a-z]\.[a-z]|evaluable/);
  });

  test('it goes as soon as it can be judged', () => {
    const office = new Office(packs);
    office.add('2026-03-02T07:50', 'bath.measured', { line: 'M1', bath: 'developer', temperature: degF(68) });
    office.add('2026-03-02T08:00', 'film.processed', run());
    office.add(
      '2026-03-02T09:00',
      'film.processed',
      run({ developer: { time: minutes(5) }, fixer: { time: minutes(10) } }),
    );
    expect(gaps(office)).toEqual([]);
  });

  test('a reading in doubt is not called unrecorded while an instrument is in doubt, only then', () => {
    const office = new Office(`${packs}  - id: thermometer
    title: Thermometer
    on: [instrument.checked]
    about: instrument
    when: { fact: instrument.temperatureError, operator: greaterThan, value: 1 K }
    severity: warning
    say: off
    $tests
`);
    const check = (at: string, reading: number) =>
      office.add(at, 'instrument.checked', {
        instrument: 'T1',
        kind: 'thermometer',
        reading: degF(reading),
        reference: degF(68),
      });
    const developing = { developer: { time: minutes(5) }, fixer: { time: minutes(10) } };
    office.add('2026-03-02T07:50', 'film.processed', run(developing));
    expect(gaps(office).map(({ text }) => text)).toEqual([
      'M1, since Mon 2 Mar: developer temperature not recorded. Not judged for want of it: Cold.',
    ]);
    office.add('2026-03-02T08:00', 'bath.measured', {
      ...{ line: 'M1', bath: 'developer', temperature: degF(68), instrument: 'T1' },
    });
    check('2026-03-02T08:10', 75);
    office.add('2026-03-02T08:20', 'film.processed', run(developing));
    expect(gaps(office).map(({ text }) => text)).toEqual([
      'M1, since Mon 2 Mar: developer temperature not recorded, or read with an instrument that failed its check. Not judged for want of it: Cold.',
    ]);
    check('2026-03-02T12:00', 68);
    office.add('2026-03-02T12:10', 'bath.measured', { line: 'M1', bath: 'developer', temperature: degF(68) });
    office.add('2026-03-02T12:20', 'film.processed', run(developing));
    expect(gaps(office)).toEqual([]);
    // In order again long before this gap: nothing was read at all.
    office.add('2026-03-03T08:20', 'film.processed', run(developing));
    expect(gaps(office, '2026-03-03T18:00').map(({ text }) => text)).toEqual([
      'M1, since Tue 3 Mar: developer temperature not recorded. Not judged for want of it: Cold.',
    ]);
  });
});
