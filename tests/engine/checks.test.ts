import { describe, expect, test } from '@jest/globals';
import { board } from '../../src/engine/board.js';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { degF, Office } from './office.js';

const wedge = `pack: test/wedge
layer: practice
checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    hold: line
    severity: standard
    say: '{wedge.steps} steps {wedge.direction}[[, developer {developer.age} old]].'
    advise: Hold patient films.
    retest: Develop a strip.
    $tests
`;
const strip = (steps: number) => ({ line: 'M1', difference: { steps, direction: steps === 0 ? 'same' : 'lighter' } });
const films = (count: number) => ({ line: 'M1', method: 'manual', count });

describe('a check that lasts (L12, L17a)', () => {
  const office = new Office(wedge);
  office.add('2026-02-11T07:58', 'stepwedge.read', strip(3));
  office.add('2026-02-11T09:00', 'film.processed', films(4));
  office.add('2026-02-11T12:20', 'chemistry.changed', { line: 'M1', bath: 'developer', by: 'op-2' });
  office.add('2026-02-11T12:50', 'stepwedge.read', strip(4));
  office.add('2026-02-11T13:45', 'stepwedge.read', strip(0));

  test('opens once, holds its line, is told again, and ends with the passed re-test, not with the deed', () => {
    expect(office.findings('2026-02-11T12:30')).toMatchObject([{ state: 'open', occurrences: 1, films: 4 }]);
    expect(office.board('2026-02-11T12:30')).toMatchObject({
      state: 'hold',
      lines: [
        { id: 'M1', state: 'hold' },
        { id: 'C1', state: 'clear' },
      ],
      cards: [{ state: 'hold', what: '3 steps lighter.', doNow: 'Hold patient films.', nextTest: 'Develop a strip.' }],
    });
    const [finding, ...others] = office.findings();
    expect(others).toEqual([]);
    expect(finding).toMatchObject({ state: 'cleared', occurrences: 2, openedAt: office.at('2026-02-11T07:58') });
    expect(finding?.closedAt).toBe(office.at('2026-02-11T13:45'));
    expect(finding?.said.map(({ message }) => message)).toEqual([
      '3 steps lighter.',
      '4 steps lighter, developer 0 days old.',
    ]);
    expect(office.board('2026-02-11T14:00')).toMatchObject({ state: 'clear', cards: [] });
  });

  test('a person cannot end a hold, but what was found is kept', () => {
    const held = new Office(wedge);
    held.add('2026-02-11T07:58', 'stepwedge.read', strip(3));
    const [open] = held.findings();
    held.add('2026-02-11T09:00', 'finding.resolved', {
      finding: open?.id,
      rootCause: 'dev_exhausted',
      action: 'changed',
    });
    expect(held.findings()).toMatchObject([{ state: 'open', rootCause: 'dev_exhausted', action: 'changed' }]);
    expect(held.board('2026-02-11T10:00').state).toBe('hold');
  });
});

describe('a check on runs', () => {
  const pack = `pack: test/runs
layer: practice
checks:
  - id: hot
    title: Hot
    on: [film.processed]
    about: run
    when: { fact: run.developer.temperature, operator: greaterThan, value: '80 [degF]' }
    severity: warning
    join: day
    say: '{run.developer.temperature}'
    $tests
`;
  const run = (temperature?: number) => ({
    ...films(2),
    developer: temperature === undefined ? {} : { temperature: degF(temperature) },
  });

  test('never clears by later events, joins within the day, and leaves the board after the next run in range', () => {
    const office = new Office(pack);
    office.add('2026-03-02T08:00', 'film.processed', run(84));
    office.add('2026-03-02T08:20', 'film.processed', run(83));
    office.add('2026-03-02T11:00', 'film.processed', run(70));
    office.add('2026-03-03T08:00', 'film.processed', run(85));
    expect(office.findings()).toMatchObject([
      { state: 'open', occurrences: 2, films: 4, easedAt: office.at('2026-03-02T11:00'), message: '84 F' },
      { state: 'open', occurrences: 1, message: '85 F' },
    ]);
    expect(office.board('2026-03-02T09:00').cards).toHaveLength(1);
    expect(office.board('2026-03-02T12:00').cards).toHaveLength(0);
  });

  test('law and standard stay listed calmly after a good run, until somebody resolves them; a warning goes', () => {
    const office = new Office(
      pack.replace('layer: practice', 'layer: state').replace('severity: warning', 'severity: law'),
    );
    office.add('2026-03-02T08:00', 'film.processed', run(84));
    expect(office.board('2026-03-02T08:30')).toMatchObject({ cards: [{ severity: 'law' }], standing: [] });
    office.add('2026-03-02T11:00', 'film.processed', run(70));
    office.add('2026-03-03T08:00', 'film.processed', run(85));
    office.add('2026-03-03T11:00', 'film.processed', run(70));
    const board = office.board('2026-03-04T08:00');
    expect(board).toMatchObject({
      state: 'clear',
      lines: [{ state: 'clear' }, { state: 'clear' }],
      cards: [],
      more: 0,
    });
    const [second, first] = office
      .findings()
      .map(({ id }) => id)
      .reverse();
    expect(board.standing).toEqual([
      {
        what: 'Tue 3 Mar: 85 F',
        line: 'M1',
        rule: 'test/runs/hot',
        severity: 'law',
        since: office.at('2026-03-02T08:00'),
        findings: [second, first],
        count: 2,
      },
    ]);
    for (const id of [first, second])
      office.add('2026-03-04T09:00', 'finding.resolved', { finding: id, rootCause: 'heater', action: 'repaired' });
    expect(office.board('2026-03-04T10:00').standing).toEqual([]);
    const warned = new Office(pack);
    warned.add('2026-03-02T08:00', 'film.processed', run(84));
    warned.add('2026-03-02T11:00', 'film.processed', run(70));
    expect(warned.board('2026-03-04T08:00').standing).toEqual([]);
  });

  test('L17b: uses a fresh reading, never a stale one, and says what is missing', () => {
    const office = new Office(pack);
    office.add('2026-03-02T08:00', 'bath.measured', { line: 'M1', bath: 'developer', temperature: degF(84) });
    office.add('2026-03-02T12:00', 'film.processed', run());
    office.add('2026-03-02T12:01', 'film.processed', run());
    expect(office.findings()).toMatchObject([{ occurrences: 1 }]);
    expect(office.board('2026-03-02T13:00').weekly).toMatchObject([
      { kind: 'notEvaluable', rules: ['test/runs/hot'], line: 'M1' },
    ]);
  });

  test('L17b: what an instrument read between two passes is in doubt once it fails, beside the other shipped checks', async () => {
    const { packs } = await loadPacks('rules');
    const office = new Office([]);
    const book = new PackBook(packs);
    const check = (reading: number) => ({
      instrument: 'T1',
      kind: 'thermometer',
      reading: { value: reading, unit: '[degF]' },
      reference: { value: 68, unit: '[degF]' },
    });
    const measured = { line: 'M1', bath: 'developer', temperature: degF(71), instrument: 'T1' };
    const short = { ...films(1), developer: { time: { value: 3.5, unit: 'min' } } };
    const shorts = () =>
      [...foldSite(office.events, book).findings.values()]
        .filter(({ rule }) => rule === 'common/processing-times/development-short')
        .reduce((sum, { occurrences }) => sum + occurrences, 0);
    office.add('2026-03-02T07:00', 'instrument.checked', check(68));
    office.add('2026-03-02T08:00', 'bath.measured', measured);
    office.add('2026-03-02T08:30', 'instrument.checked', check(75));
    office.add('2026-03-02T09:30', 'film.processed', short);
    expect(shorts()).toBe(0);
    // A pass does not make the old reading true; a reading after it counts again.
    office.add('2026-03-02T10:00', 'instrument.checked', check(68));
    office.add('2026-03-02T10:10', 'film.processed', short);
    expect(shorts()).toBe(0);
    office.add('2026-03-02T10:20', 'bath.measured', measured);
    office.add('2026-03-02T10:30', 'film.processed', short);
    expect(shorts()).toBe(1);
  });
});

test('L17b: a failure reaches back to the last pass: met turns into not evaluable, a finding says it is in doubt', async () => {
  const { packs } = await loadPacks('rules');
  const book = new PackBook(packs);
  const office = new Office([], 'America/Los_Angeles', { jurisdictions: ['us', 'us-wa'] });
  const check = (reading: number) => ({
    instrument: 'T1',
    kind: 'thermometer',
    reading: { value: reading, unit: '[degF]' },
    reference: { value: 72, unit: '[degF]' },
  });
  const run = (time: number) => ({ ...films(1), developer: { time: { value: time, unit: 'min' } } });
  office.add('2026-03-02T07:30', 'instrument.checked', check(72));
  const measured = { line: 'M1', bath: 'developer', temperature: degF(68), instrument: 'T1' };
  office.add('2026-03-02T07:50', 'bath.measured', measured);
  office.add('2026-03-02T08:10', 'film.processed', run(4));
  office.add('2026-03-02T08:20', 'film.processed', run(5));
  const short = 'common/processing-times/development-short';
  const look = () => {
    const { state, findings } = foldSite(office.events, book);
    return {
      gap: state.unevaluable[`${short}|line:M1`],
      found: [...findings.values()].filter(({ rule }) => rule === short),
    };
  };
  expect(look()).toMatchObject({ gap: undefined, found: [{ severity: 'law' }] });
  expect(look().found[0]?.doubt).toBeUndefined();
  office.add('2026-03-02T09:00', 'instrument.checked', check(68));
  const { gap, found } = look();
  expect(found).toMatchObject([
    { state: 'open', doubt: { instrument: 'T1', at: office.at('2026-03-02T09:00') }, occurrences: 1 },
  ]);
  expect(found[0]?.message).toContain('In doubt: T1');
  expect(gap).toMatchObject({ since: office.at('2026-03-02T08:20'), missing: [{ fact: 'developer.temperature' }] });
  // A passed check settles what came before it: a later failure does not reach behind it.
  const settled = new Office([], 'America/Los_Angeles', { jurisdictions: ['us', 'us-wa'] });
  settled.add('2026-03-02T07:50', 'bath.measured', measured);
  settled.add('2026-03-02T08:10', 'film.processed', run(4));
  settled.add('2026-03-02T08:30', 'instrument.checked', check(72));
  settled.add('2026-03-02T09:00', 'instrument.checked', check(68));
  expect(
    [...foldSite(settled.events, book).findings.values()].find(({ rule }) => rule === short)?.doubt,
  ).toBeUndefined();
});

test('one cause is one card with a counter inside, whichever rules it broke; the record keeps each (L17e)', async () => {
  const { packs } = await loadPacks('rules');
  const office = new Office([]);
  const measured = { line: 'M1', bath: 'developer', temperature: degF(55) };
  office.add('2026-03-02T07:50', 'bath.measured', measured);
  office.add('2026-03-02T08:00', 'film.processed', { ...films(4), developer: { temperature: degF(55) } });
  office.add('2026-03-02T08:10', 'film.processed', { ...films(3), endpoint: 'sight' });
  const at = office.at('2026-03-02T09:00');
  const folded = foldSite(office.events, new PackBook(packs), at);
  const cold = [...folded.findings.values()].filter(({ rule }) => rule.startsWith('common/temperatures/'));
  expect(cold.map(({ rule }) => rule).sort()).toEqual([
    'common/temperatures/developer-temperature',
    'common/temperatures/run-temperature',
  ]);
  const { cards } = board(folded.state, at, new PackBook(packs));
  expect(cards.map(({ rule, count }) => [rule, count])).toEqual([
    ['common/temperatures/run-temperature', 2],
    ['common/processing-times/sight-development', 1],
  ]);
  expect([...(cards[0]?.findings ?? [])].sort()).toEqual(cold.map(({ id }) => id).sort());
});

test('L8: runs join those of the day on the same word; the one farthest out lends the finding its words, none is hidden', async () => {
  const { packs } = await loadPacks('rules');
  const office = new Office([], 'America/Denver', { jurisdictions: ['us', 'us-nm'] });
  const run = (temperature: number, seconds: number) => ({
    ...films(1),
    developer: { temperature: degF(temperature), time: { value: seconds, unit: 's' } },
  });
  // New Mexico's copy is doubtful at 79 F: practice alone speaks there.
  office.add('2026-03-02T08:00', 'film.processed', run(79, 90));
  office.add('2026-03-02T09:00', 'film.processed', run(71, 60));
  office.add('2026-03-02T10:00', 'film.processed', run(68, 30));
  office.add('2026-03-02T11:00', 'film.processed', run(70, 250));
  const short = [...foldSite(office.events, new PackBook(packs)).findings.values()].filter(
    ({ rule }) => rule === 'common/processing-times/development-short',
  );
  expect(short).toMatchObject([
    { severity: 'warning', occurrences: 1, films: 1, message: expect.stringContaining('at 79 F') },
    { severity: 'law', occurrences: 3, films: 3, message: expect.stringContaining('at 68 F') },
  ]);
  expect(short[1]?.citation.text).toContain('NMAC');
  expect(short[1]?.said.map(({ message }) => /at (\d+) F/.exec(message)?.[1])).toEqual(['71', '68', '70']);
});

test('L17a: only patients\u2019 films count as developed during a hold', () => {
  const office = new Office(wedge);
  office.add('2026-02-11T07:58', 'stepwedge.read', strip(3));
  office.add('2026-02-11T08:10', 'film.processed', { ...films(5), purpose: 'test' });
  office.add('2026-02-11T08:20', 'film.processed', films(2));
  expect(office.findings()).toMatchObject([{ films: 2 }]);
});

test('L10: people’s work finds the finding that covers its instant, open or closed; else it is kept as an orphan', () => {
  const office = new Office(wedge);
  office.add('2026-02-11T07:58', 'stepwedge.read', strip(3));
  office.add('2026-02-11T13:45', 'stepwedge.read', strip(0));
  const address = { rule: 'test/wedge/strip', topic: 'line:M1' };
  office.add('2026-02-11T15:00', 'cause.confirmed', {
    ...address,
    instant: new Date(office.at('2026-02-11T09:00')).toISOString(),
    rootCause: 'dev_exhausted',
  });
  expect(office.findings()).toMatchObject([{ state: 'cleared', rootCause: 'dev_exhausted' }]);
  const later = new Date(office.at('2026-02-11T16:00')).toISOString();
  office.add('2026-02-11T16:00', 'finding.acknowledged', { ...address, instant: later });
  expect(office.fold().state.orphans).toMatchObject([{ ref: { type: 'finding.acknowledged' }, ...address }]);
});

describe('what the shipped rules say', () => {
  const said = async (events: readonly (readonly [string, string, Record<string, unknown>])[]) => {
    const { packs } = await loadPacks('rules');
    const office = new Office([]);
    for (const [local, type, data] of events) office.add(local, type, data);
    return [...foldSite(office.events, new PackBook(packs)).findings.values()].map(({ message }) => message);
  };

  test('an instrument by its name, and its error in the degrees that people read', async () => {
    const kelvin = await said([
      [
        '2026-03-02T07:40',
        'instrument.checked',
        { instrument: 'tank-2', kind: 'thermometer', reading: degF(64.5), reference: degF(68) },
      ],
    ]);
    expect(kelvin).toEqual(['Thermometer tank-2 is off by 3.5 F; 1 F is allowed.']);
    const timer = { kind: 'timer', reading: { value: 330, unit: 's' }, reference: { value: 300, unit: 's' } };
    expect(await said([['2026-03-02T07:40', 'instrument.checked', { instrument: 'wall-clock', ...timer }]])).toEqual([
      expect.stringMatching(/^Timer wall-clock is off by 10 %/),
    ]);
    const meter = { kind: 'densitometer', reading: 1.6, reference: 1.5 };
    expect(await said([['2026-03-02T07:40', 'instrument.checked', { instrument: 'D-1', ...meter }]])).toEqual([
      expect.stringMatching(/^Densitometer D-1 is off by 0.1;/),
    ]);
  });

  test('one film is one film, and a second fixing at the tank is not chairside', async () => {
    const hot = { developer: { temperature: degF(83), time: { value: 2, unit: 'min' } } };
    const day = { fixer: { time: { value: 20, unit: 'h' } }, wash: { time: { value: 20, unit: 'h' } } };
    const run = (count: number) => ({ ...films(count), ...hot, ...day, endpoint: 'sight' });
    const refixed = {
      line: 'M1',
      fixer: { time: { value: 2, unit: 'min' } },
      wash: { time: { value: 20, unit: 'min' } },
    };
    const one = await said([
      ['2026-03-02T08:00', 'film.processed', run(1)],
      ['2026-03-02T09:00', 'film.refixed', { ...refixed, count: 1 }],
    ]);
    expect(one.filter((text) => /\b1 films/.test(text))).toEqual([]);
    expect(one).toContainEqual(expect.stringMatching(/^1 film fixed 2:00 for keeping/));
    for (const start of ['1 film developed at 83 F', '1 film developed by sight', '1 film left 20:00:00 in the fixer'])
      expect(one).toContainEqual(expect.stringContaining(start));
    const more = await said([['2026-03-02T08:00', 'film.processed', run(2)]]);
    for (const start of [
      '2 films developed at 83 F',
      '2 films developed by sight',
      '2 films left 20:00:00 in the wash',
    ])
      expect(more).toContainEqual(expect.stringContaining(start));
  });
});

test('a hold stays on the board though somebody has put it off', () => {
  const office = new Office(wedge);
  office.add('2026-02-11T07:58', 'stepwedge.read', strip(3));
  const [finding] = office.findings();
  office.add('2026-02-11T08:10', 'finding.snoozed', { finding: finding?.id, until: '2026-03-01', reason: 'later' });
  expect(office.board('2026-02-12T08:00').cards).toMatchObject([{ state: 'hold', line: 'M1' }]);
});
