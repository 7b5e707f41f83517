import { describe, expect, test } from '@jest/globals';
import { diffPacks } from '../../src/trials/diff/index.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { affectedBy } from '../../src/trials/what-if/slice.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';
import { measureAt } from '../../src/engine/trends/measure.js';
import { shipped } from '../scenarios/stage.js';
import { Office } from './office.js';

const head = 'pack: test/wall\nlayer: clinic\n';
const chart = (more = '', rows = '[{ view: BW_L, time: 0.25 s }]') => `  - id: test/${more === '' ? 'any' : 'own'}
    title: Wall
    filmSpeed: F
    tubeVoltage: 70 kV
    tubeCurrent: 7 mA
${more}    rows: ${rows}
`;
const kV = (value: number) => ({ value, unit: 'kV' });
const mA = (value: number) => ({ value, unit: 'mA' });
const s = (value: number) => ({ value, unit: 's' });
const usual = { tube: 'R1', view: 'BW_L', filmSpeed: 'F', tubeVoltage: kV(70), tubeCurrent: mA(7), time: s(0.25) };

/** Ratios of exposures as the fold kept them, to a thousandth. */
function ratios(charts: string, exposures: readonly Record<string, unknown>[], site: Record<string, unknown> = {}) {
  const own = new Office(`${head}techniques:\n${charts}`, 'America/Chicago', {
    tubes: [{ id: 'R1' }, { id: 'R2' }],
    ...site,
  });
  own.add('2026-03-02T08:00', 'filmstock.received', { lot: 'L-1', speed: 'F', expires: '2028-01' });
  exposures.forEach((data, n) =>
    own.add(`2026-03-02T09:${String(n).padStart(2, '0')}`, 'film.exposed', { ...usual, ...data }),
  );
  const { state } = foldSite(own.events, own.book);
  return (measureAt(state, 'exposure.ratio', state.at, own.book) ?? []).flatMap(({ tube, readings }) =>
    readings.map(({ value }) => [tube, Math.round(1000 * value) / 1000]),
  );
}

describe('an exposure against the technique chart', () => {
  test.each([
    ['by the chart', {}, 1],
    ['twice the time', { time: s(0.5) }, 2],
    ['half the time at twice the current', { time: s(0.125), tubeCurrent: mA(14) }, 1],
    ['half the time at 15 kV more', { time: s(0.125), tubeVoltage: kV(85) }, 1],
  ])('%s', (_, data, ratio) => {
    expect(ratios(chart(), [data])).toEqual([['R1', ratio]]);
  });

  test('what the unit is set to once for all need not be repeated, and the box knows its speed', () => {
    const tubes = [{ id: 'R1', tubeVoltage: kV(70), tubeCurrent: mA(7) }];
    const bare = { tubeVoltage: undefined, tubeCurrent: undefined, filmSpeed: undefined, lot: 'L-1' };
    expect(ratios(chart(), [bare], { tubes })).toEqual([['R1', 1]]);
  });

  test('pulses against seconds', () => {
    const inPulses = chart('    pulsesPerSecond: 60\n', '[{ view: BW_L, pulses: 15 }]');
    expect(ratios(inPulses, [{ time: undefined, pulses: 30 }, { time: s(0.25) }])).toEqual([
      ['R1', 2],
      ['R1', 1],
    ]);
  });

  test.each([
    ['another film speed', { filmSpeed: 'E' }],
    ['no speed known', { filmSpeed: undefined }],
    ['another view', { view: 'MX_MOL_R' }],
    ['no view', { view: undefined }],
    ['no voltage known', { tubeVoltage: undefined }],
    ['pulses, and nobody says how many a second', { time: undefined, pulses: 15 }],
    ['a voltage beyond the rules of thumb', { tubeVoltage: kV(120) }],
    ['no time at all', { time: s(0) }],
  ])('%s: nothing is said', (_, data) => {
    expect(ratios(chart(), [data])).toEqual([]);
  });

  test('the row of the patient’s size, else the row for any', () => {
    const rows = '[{ view: BW_L, patientSize: child, time: 0.16 s }, { view: BW_L, time: 0.25 s }]';
    const sizes = ['child', 'adult', undefined].map((patientSize) => ({ patientSize, time: s(0.16) }));
    expect(ratios(chart('', rows), sizes).map(([, ratio]) => ratio)).toEqual([1, 0.64, 0.64]);
  });

  test('a chart for the site and unit by name goes before one for any; one for another site is not for here', () => {
    const own = chart('    for: { tube: R2, site: test }\n', '[{ view: BW_L, time: 0.5 s }]');
    expect(ratios(chart() + own, [{}, { tube: 'R2' }])).toEqual([
      ['R1', 1],
      ['R2', 0.5],
    ]);
    expect(ratios(chart('    for: { site: elsewhere }\n'), [{}])).toEqual([]);
  });

  test('without a chart nothing is missing: no rule of exposures is listed as not evaluable', () => {
    const own = new Office('pack: test/none\nlayer: practice');
    for (let n = 0; n < 12; n++) own.add(`2026-03-02T09:${10 + n}`, 'film.exposed', usual);
    const { state } = foldSite(own.events, shipped, own.at('2026-03-03T09:00'));
    expect(Object.keys(state.unevaluable).filter((key) => key.startsWith('common/exposures/'))).toEqual([]);
  });
});

describe('a technique chart that changes', () => {
  const read = (time: string) => {
    const text = `${head}version: 1.0.0\ntitle: T\nauthority: T\ncitation: { text: t, read: practice }\ntechniques:\n${chart('', `[{ view: BW_L, time: ${time} }]`)}`;
    const { pack, diagnostics } = readPack(text, 'wall.yaml');
    if (pack === undefined) throw new Error(JSON.stringify(diagnostics));
    return pack;
  };
  const [before, after] = [read('0.25 s'), read('0.3 s')];

  test('asks for a new version: whether it lets more pass, rows do not say', () => {
    const { changes, version } = diffPacks(before, after);
    expect(changes).toEqual([{ part: 'technique', id: 'test/any', change: 'changed', fields: [], asks: 'major' }]);
    expect(version).toMatchObject({ asks: 'major', follows: false });
    expect(diffPacks(before, before).changes).toEqual([]);
  });

  test('is another book, under which the rules of exposures and the causes are folded anew, and no others', () => {
    const [ours, theirs] = [before, after].map((pack) => new PackBook([...shipped.packs, pack]));
    expect(ours?.hash).not.toBe(theirs?.hash);
    const affected = affectedBy(ours?.editions ?? [], theirs?.editions ?? []);
    expect([...affected.rules].sort()).toEqual([
      'common/exposures/dose-creep',
      'common/exposures/off-chart',
      'defects/why/causes',
    ]);
  });
});

test('another clue or cause is another book for the advice on causes alone', () => {
  const packs = shipped.packs.map((pack) =>
    pack.defects === undefined ? pack : { ...pack, defects: { ...pack.defects, clues: [] } },
  );
  const affected = affectedBy(shipped.editions, new PackBook(packs).editions);
  expect([...affected.rules]).toEqual(['defects/why/causes']);
});
