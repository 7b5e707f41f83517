import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { measureAt } from '../../src/engine/trends/measure.js';
import type { Finding } from '../../src/engine/finding.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { Office } from './office.js';

const office = (site: Record<string, unknown> = {}) =>
  new Office('pack: test/none\nlayer: practice', 'America/Chicago', { tubes: [{ id: 'R1' }, { id: 'R2' }], ...site });

/** A local day and time of March. */
const on = (day: number, clock = '09:00') => `2026-03-${String(day).padStart(2, '0')}T${clock}`;
const readings = (own: Office, until: string) => {
  const { state } = foldSite(own.events, shipped, own.at(until));
  return measureAt(state, 'wedge.density', own.at(until), shipped)?.[0]?.readings.map(({ value }) =>
    Math.round(value * 100),
  );
};
const findings = (own: Office, until: string): Finding[] => [
  ...foldSite(own.events, shipped, own.at(until)).findings.values(),
];

describe('L16: the reference film', () => {
  const strip = (own: Office, day: number, middle: number, more: Record<string, unknown> = {}, clock = '09:00') =>
    own.add(on(day, clock), 'stepwedge.read', { line: 'M1', densities: [0.2, 0.4, middle, 1.5], lot: 'old', ...more });

  test('stays at a change of chemistry: a bad mix shows', () => {
    const own = office();
    strip(own, 2, 0.85, { difference: { steps: 0 } });
    own.add(on(3, '07:00'), 'chemistry.changed', { line: 'M1', bath: 'developer' });
    strip(own, 3, 0.7);
    expect(readings(own, on(4))).toEqual([0, -15]);
  });

  test('a new lot says nothing until five of it and five of the old were read; then the aim has moved by their means', () => {
    const own = office();
    for (let n = 0; n < 5; n++) strip(own, 2 + n, 0.85, n === 0 ? { difference: { steps: 0 } } : {});
    for (let n = 0; n < 4; n++) strip(own, 9, 0.95, { lot: 'new' }, `1${n}:00`);
    expect(readings(own, on(10))).toEqual([0, 0, 0, 0, 0]);
    strip(own, 9, 0.95, { lot: 'new' }, '14:00');
    strip(own, 10, 0.96, { lot: 'new' });
    expect(readings(own, on(11))?.at(-1)).toBe(1);
  });

  test('four of the old lot are too few to cross over by', () => {
    const own = office();
    for (let n = 0; n < 4; n++) strip(own, 2 + n, 0.85, n === 0 ? { difference: { steps: 0 } } : {});
    for (let n = 0; n < 6; n++) strip(own, 9, 0.95, { lot: 'new' }, `1${n}:00`);
    expect(readings(own, on(10))).toEqual([0, 0, 0, 0]);
  });
});

describe('L15: rates', () => {
  const expose = (own: Office, day: number, count: number, data: Record<string, unknown> = {}) => {
    for (let n = 0; n < count; n++)
      own.add(on(day, `09:${String(n).padStart(2, '0')}`), 'film.exposed', {
        film: `F-${day}-${n}`,
        tube: 'R1',
        ...data,
      });
  };
  const review = (own: Office, day: number, film: string, grade: string, clock = '17:00') =>
    own.add(on(day, clock), 'film.reviewed', { film, grade, signs: [] });
  const counted = (own: Office, until: string) => foldSite(own.events, shipped, own.at(until)).state.counts;

  test('a reject counts on the day of its exposure, once, and so does a retake', () => {
    const own = office();
    expose(own, 2, 3);
    expose(own, 3, 2);
    review(own, 4, 'F-2-0', 'unacceptable');
    review(own, 5, 'F-2-0', 'unacceptable');
    own.add(on(5, '10:00'), 'film.exposed', { film: 'F-5-0', tube: 'R2', retakeOf: 'F-3-1' });
    const days = counted(own, on(6)).map(({ date, cells }) => [date, cells['R1|'], cells['R2|']]);
    expect(days).toEqual([
      ['2026-03-02', { exposures: 3, retakes: 0, rejects: 1 }, undefined],
      ['2026-03-03', { exposures: 2, retakes: 1, rejects: 0 }, undefined],
      ['2026-03-04', undefined, undefined],
      ['2026-03-05', undefined, { exposures: 1, retakes: 0, rejects: 0 }],
    ]);
  });

  test('films for a test, and rejects of films nobody exposed for a patient, count nowhere', () => {
    const own = office();
    expose(own, 2, 2, { purpose: 'test' });
    review(own, 2, 'F-2-0', 'unacceptable');
    review(own, 2, 'F-unknown', 'unacceptable');
    expect(counted(own, on(3)).flatMap(({ cells }) => Object.values(cells))).toEqual([]);
  });

  test('where nobody grades films rejects are not judged, and the office is told what to send', () => {
    const own = office();
    for (const day of [2, 3, 4]) expose(own, day, 40);
    const { state } = foldSite(own.events, shipped, own.at(on(5)));
    const gap = Object.values(state.unevaluable).find(({ rule }) => rule === 'common/rates/rejects-month');
    expect(gap?.missing).toEqual([{ fact: 'rate.films', why: 'missing' }]);
  });

  test('is judged at the end of the day, whether or not anything happens afterwards', () => {
    const own = office();
    own.add(on(2, '17:00'), 'films.tallied', { exposures: 100, rejects: [{ count: 30 }] });
    expect(findings(own, on(2, '23:59'))).toEqual([]);
    const [found] = findings(own, on(3, '00:00')).filter(({ rule }) => rule === 'common/rates/rejects-month');
    expect(found?.openedAt).toBe(own.at(on(3, '00:00')));
    const { state } = foldSite(own.events, shipped);
    expect(state.nextDue).toBe(own.at(on(3, '00:00')));
  });

  test('L17f: what follows a person is advice that says neither name nor code', () => {
    const own = office();
    for (let n = 0; n < 30; n++) {
      const clock = (hour: string) => on(2, `${hour}:${String(n).padStart(2, '0')}`);
      own.add(clock('09'), 'film.exposed', {
        film: `A-${n}`,
        tube: 'R1',
        by: 'op-77',
        ...(n < 15 ? { retakeOf: 'x' } : {}),
      });
      own.add(clock('10'), 'film.exposed', { film: `B-${n}`, tube: n < 10 ? 'R1' : 'R2', by: 'op-78' });
    }
    const [found] = findings(own, on(3)).filter(({ rule }) => rule === 'common/rates/person-retakes');
    expect(found?.severity).toBe('advice');
    expect(JSON.stringify({ ...found, evidence: [], anchor: null, closedBy: null })).not.toContain('op-7');
    expect(found?.topic).toMatch(/^operator:[0-9a-f]{8}$/);
  });

  test('in whatever order the events come, the same is found', () => {
    const own = office();
    for (const day of [2, 3]) expose(own, day, 15, { by: `op-${day}` });
    for (let n = 0; n < 9; n++) review(own, 4, `F-2-${n}`, n < 4 ? 'unacceptable' : 'acceptable', `17:0${n}`);
    for (let n = 0; n < 14; n++)
      own.add(on(3, `11:${10 + n}`), 'film.exposed', { film: `R-${n}`, tube: 'R2', retakeOf: `F-2-${n}`, by: 'op-3' });
    const whole = findings(own, on(6));
    expect(whole.some(({ rule }) => rule === 'common/rates/retakes-week')).toBe(true);
    fc.assert(
      fc.property(fc.shuffledSubarray(own.events, { minLength: own.events.length }), (events) => {
        expect([...foldSite(events, shipped, own.at(on(6))).findings.values()]).toEqual(whole);
      }),
      { numRuns: 20 },
    );
  });
});
