import { describe, expect, test } from '@jest/globals';
import type { Verdict } from '../../src/engine/finding.js';
import { judge, missingFor, namedBound, rungsOf, standingBound } from '../../src/engine/ladder.js';
import { momentOf, type Moment } from '../../src/engine/moment.js';
import { Office } from './office.js';

const head = (id: string, layer: string, more = '') => `pack: test/${id}\nlayer: ${layer}\n${more}`;
const chart = (id: string, rows: string) => `
  - id: ${id}
    title: Chart ${id}
    answers: time
    by: run.developer.temperature
    gives: run.developer.time
    units: { by: '[degF]', gives: min }
    citation: { text: chart ${id}, read: text }
    rows: ${rows}`;
const law = head(
  'law',
  'state',
  `charts:${chart('law-chart', '[[60, 9], [68, 5], [80, 2]]')}
limits:
  - { id: time, of: run.developer.time, for: { method: manual }, min: { chart: law-chart }, role: $role, severity: law }
  - { id: time, of: run.developer.time, max: { chart: law-chart, plus: 30 s }, severity: warning }
  - { id: fixing, of: run.fixer.time, min: { fact: fixer.clearingTime, times: 2 }, severity: standard }
  - { id: range, of: run.developer.temperature, for: { method: manual }, min: '60 [degF]', max: '80 [degF]', severity: law }
  - { id: age, of: chemistry.age, max: 2 mo, severity: law }
`,
);
const maker = head('maker', 'maker', `charts:${chart('sheet', '[[60, 7], [68, 4], [80, 3]]')}\n`);
const clinic = head(
  'clinic',
  'clinic',
  `limits:
  - { id: range, of: run.developer.temperature, min: '65 [degF]', severity: warning }
  - { id: range, of: run.developer.temperature, for: { method: automatic }, min: '75 [degF]', severity: warning }
`,
);

interface Run {
  role?: string;
  packs?: readonly string[];
  temperature?: number;
  minutes?: number;
  fixer?: number;
  clearing?: number;
}
const minutes = (value: number) => ({ value, unit: 'min' });

function run({ role = 'fallback', packs = [], temperature, minutes: time, fixer, clearing }: Run): Moment {
  // A bound without a role stands whatever the maker's sheet says.
  const first = role === '' ? law.replace('role: $role, ', '') : law.replace('$role', role);
  const office = new Office([first, ...packs]);
  if (clearing !== undefined) {
    office.add('2026-03-01T07:00', 'chemistry.changed', { line: 'M1', bath: 'fixer' });
    office.add('2026-03-01T08:00', 'fixer.cleared', { line: 'M1', time: minutes(clearing) });
  }
  const event = office.add('2026-03-02T08:00', 'film.processed', {
    line: 'M1',
    method: 'manual',
    count: 1,
    developer: {
      ...(temperature === undefined ? {} : { temperature: { value: temperature, unit: '[degF]' } }),
      ...(time === undefined ? {} : { time: minutes(time) }),
    },
    ...(fixer === undefined ? {} : { fixer: { time: minutes(fixer) } }),
  });
  const { state } = office.fold();
  if (state.site === null) throw new Error('no site');
  const moment = momentOf(state, office.book.at(event.at, state.site), event);
  if (moment === undefined) throw new Error('no moment');
  return moment;
}

const short = ({ side, verdict, text }: Verdict) => `${side} ${text} ${verdict}`;

describe('rungs', () => {
  test('each limit that speaks of the line, lower side first, judged for itself', () => {
    const moment = run({ packs: [clinic], temperature: 62, minutes: 9 });
    expect(judge(moment, 'range').map((rung) => `${rung.pack} ${rung.layer} ${rung.severity} ${short(rung)}`)).toEqual([
      'test/clinic clinic warning min 65 F broken',
      'test/law state law min 60 F met',
      'test/law state law max 80 F met',
    ]);
    const automatic = moment.rules.limits.get('range')?.find((limit) => limit.for.method?.includes('automatic'));
    expect(automatic && rungsOf(moment, automatic)).toEqual([]);
    expect(judge(moment, 'unheard-of')).toEqual([]);
  });

  test.each([
    [60, 'met', 'met'],
    [80, 'met', 'met'],
    [59.9, 'broken', 'met'],
    [80.1, 'met', 'broken'],
    [undefined, 'unknown', 'unknown'],
  ] as const)('at %p F', (temperature, low, high) => {
    expect(judge(run({ temperature, minutes: 5 }), 'range').map(({ verdict }) => verdict)).toEqual([low, high]);
  });

  test('a bound of a chart, with its allowance', () => {
    const rungs = judge(run({ temperature: 68, minutes: 5.6 }), 'time');
    expect(rungs.map(short)).toEqual(['min 5:00 met', 'max 5:30 broken']);
    expect(rungs.map(({ bound }) => bound)).toEqual([300, 330]);
    expect(rungs.map((rung) => rung.chart)).toEqual(['Chart law-chart', 'Chart law-chart']);
  });

  test('without an answer of the chart the bound is said as it is written', () => {
    const rungs = judge(run({ minutes: 5 }), 'time');
    expect(rungs.map(short)).toEqual(['min by the chart unknown', 'max by the chart, plus 0:30 unknown']);
    expect(rungs.map(({ bound }) => bound)).toEqual([undefined, undefined]);
    // Past the rows of the chart there is none either.
    expect(judge(run({ temperature: 81, minutes: 5 }), 'time').map(({ verdict }) => verdict)).toEqual([
      'unknown',
      'unknown',
    ]);
  });

  test('a multiple of a fact', () => {
    expect(judge(run({ fixer: 4, clearing: 2 }), 'fixing').map(short)).toEqual(['min 4:00 met']);
    expect(judge(run({ fixer: 3.9, clearing: 2 }), 'fixing').map(short)).toEqual(['min 4:00 broken']);
    expect(judge(run({ fixer: 4 }), 'fixing').map(({ verdict }) => verdict)).toEqual(['unknown']);
    expect(judge(run({ fixer: 4 }), 'fixing')[0]?.text).toMatch(/^2 × /);
    expect(judge(run({ clearing: 2 }), 'fixing').map(short)).toEqual(['min 4:00 unknown']);
  });

  test('an age is a due instant and has no answer here', () => {
    expect(judge(run({ temperature: 68 }), 'age').map(short)).toEqual(['max 2 months unknown']);
  });
});

describe("a maker's sheet on file", () => {
  const at = (role: string, time: number, temperature = 68) =>
    judge(run({ role, packs: [maker], temperature, minutes: time }), 'time')[0];

  test('takes the place of a fallback', () => {
    expect(at('fallback', 4)).toMatchObject({ verdict: 'met', text: '4:00', chart: 'Chart sheet' });
    // The sheet asks for more here than the law's own chart.
    expect(at('fallback', 2.5, 80)).toMatchObject({ verdict: 'broken', text: '3:00', chart: 'Chart sheet' });
  });

  test('or the chart of the law satisfies an alternative, and the answer names the one that did', () => {
    expect(at('alternative', 4)).toMatchObject({ verdict: 'met', text: '4:00', chart: 'Chart sheet' });
    expect(at('alternative', 2.5, 80)).toMatchObject({ verdict: 'met', text: '2:00', chart: 'Chart law-chart' });
    expect(at('alternative', 1, 80)).toMatchObject({ verdict: 'broken', text: '3:00', chart: 'Chart sheet' });
  });

  test('speaks for itself: the citation is that of the sheet when it answered, of the limit when its own chart did', () => {
    const citation = (role: string, time: number) =>
      judge(run({ role, packs: [maker], temperature: 80, minutes: time }), 'time')[0]?.citation.text;
    expect(citation('alternative', 4)).toBe('chart sheet');
    expect(citation('alternative', 2.5)).toBe('test');
    expect(citation('', 2.5)).toBe('test');
  });

  test('is found by the limit that the chart in its place answers', () => {
    const other = `pack: test/other
layer: county
charts:${chart('county-chart', '[[60, 9], [80, 2]]')}
limits:
  - { id: county-time, of: run.developer.time, min: { chart: county-chart }, role: fallback, severity: law }
  - { id: no-chart, of: run.developer.time, min: { chart: not-in-force }, role: fallback, severity: law }
`;
    const moment = run({ packs: [maker, other], temperature: 68, minutes: 5 });
    expect(judge(moment, 'county-time')[0]).toMatchObject({ text: '4:00', chart: 'Chart sheet' });
    // A chart of a pack that is not in force has no answer, and nobody could send what it lacks.
    expect(judge(moment, 'no-chart').map(short)).toEqual(['min by the chart unknown']);
    expect(missingFor(moment, 'no-chart')).toEqual([]);
  });

  test('changes nothing where the bound stands whatever it says', () => {
    expect(at('', 4)).toMatchObject({ verdict: 'broken', text: '5:00', chart: 'Chart law-chart' });
  });

  test('of two alternatives, one broken and one without an answer is not known', () => {
    const sheet = maker.replace('[[60, 7], [68, 4], [80, 3]]', '[[60, 7], [66, 4]]');
    const rung = (time: number) =>
      judge(run({ role: 'alternative', packs: [sheet], temperature: 68, minutes: time }), 'time')[0];
    expect(rung(5)).toMatchObject({ verdict: 'met', chart: 'Chart law-chart' });
    expect(rung(4)).toMatchObject({ verdict: 'unknown' });
    const other = maker.replace('[[60, 7], [68, 4], [80, 3]]', '[[60, 7], [82, 2]]');
    const warm = (time: number) =>
      judge(run({ role: 'alternative', packs: [other], temperature: 81, minutes: time }), 'time')[0];
    expect(warm(8)).toMatchObject({ verdict: 'met', chart: 'Chart sheet' });
    expect(warm(1)).toMatchObject({ verdict: 'unknown', text: '7:00' });
  });
});

describe('what a limit lacks', () => {
  test('its own fact, the fact of a bound, the key of a chart; each once', () => {
    expect(missingFor(run({}), 'time')).toEqual(['run.developer.time', 'run.developer.temperature']);
    expect(missingFor(run({ minutes: 5 }), 'time')).toEqual(['run.developer.temperature']);
    expect(missingFor(run({ temperature: 68, minutes: 5 }), 'time')).toEqual([]);
    expect(missingFor(run({ fixer: 4 }), 'fixing')).toEqual(['fixer.clearingTime']);
    expect(missingFor(run({}), 'fixing')).toEqual(['run.fixer.time', 'fixer.clearingTime']);
    expect(missingFor(run({}), 'unheard-of')).toEqual([]);
  });

  test('nothing for lines that it does not speak of', () => {
    const moment = run({});
    expect(missingFor({ ...moment, scene: { ...moment.scene, method: 'automatic' } }, 'range')).toEqual([]);
    expect(missingFor(moment, 'range')).toEqual(['run.developer.temperature']);
  });
});

describe('the bound that a message names', () => {
  const rung = (more: Partial<Verdict>): Verdict => ({
    ...{
      limit: 'time',
      pack: 'p',
      version: '1.0.0',
      layer: 'practice',
      severity: 'warning',
      side: 'min',
      bound: 10,
      text: '',
    },
    ...{ verdict: 'broken', citation: { text: 'none', read: 'practice' } },
    ...more,
  });

  test('the gravest that is broken, of this limit', () => {
    const chain = [
      rung({ severity: 'advice', bound: 99 }),
      rung({ severity: 'law', bound: 5 }),
      rung({ severity: 'warning', bound: 50 }),
      rung({ severity: 'law', bound: 70, verdict: 'met' }),
      rung({ severity: 'law', bound: 80, limit: 'other' }),
    ];
    expect(namedBound(chain, 'time')?.bound).toBe(5);
    expect(namedBound([...chain].reverse(), 'time')?.bound).toBe(5);
  });

  test('of equally grave ones the strictest', () => {
    const low = [rung({ bound: 6 }), rung({ bound: 7 }), rung({ bound: 5 })];
    expect(namedBound(low, 'time')?.bound).toBe(7);
    const high = low.map((one) => ({ ...one, side: 'max' as const }));
    expect(namedBound(high, 'time')?.bound).toBe(5);
  });

  test('the first of those that say the same, and of those without a number', () => {
    const same = [rung({ pack: 'a' }), rung({ pack: 'b' })];
    expect(namedBound(same, 'time')?.pack).toBe('a');
    expect(
      namedBound(
        same.map((one) => ({ ...one, side: 'max' as const })),
        'time',
      )?.pack,
    ).toBe('a');
    expect(namedBound([rung({ pack: 'a', bound: undefined }), rung({ pack: 'b' })], 'time')?.pack).toBe('a');
    expect(namedBound([rung({ pack: 'a' }), rung({ pack: 'b', bound: undefined })], 'time')?.pack).toBe('a');
  });

  test('none when none is broken; what stands is the first with an answer', () => {
    expect(namedBound([rung({ verdict: 'met' }), rung({ verdict: 'unknown' })], 'time')).toBeUndefined();
    expect(standingBound(run({ temperature: 68, minutes: 5 }), 'time')?.text).toBe('5:00');
    expect(standingBound(run({ minutes: 5 }), 'time')).toBeUndefined();
    expect(standingBound(run({ minutes: 5 }), 'range')?.text).toBe('60 F');
  });
});
