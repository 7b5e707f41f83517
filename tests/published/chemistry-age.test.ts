import { describe, expect, test } from '@jest/globals';
import { book, findings, office, places, rules, type Place } from './office.js';
import type { Finding } from '../../src/engine/finding.js';

/**
 * How long processing chemistry may stay in a tank, as printed:
 *   Washington: all chemicals replaced at least every two months, WAC 246-225A-090 (2023 code archive); likewise WAC
 *     246-225-150(1)(d)(iii), https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150
 *   New Mexico: at least every three months, 20.3.6.612 NMAC App. C B(3)(c) (through Register Vol. 35 No. 20, 2024-10-22)
 *   Minnesota: Minn. R. 4732.0555 could be read in part; no period in that part.
 * The instants below were counted on a calendar by hand; the last day of a period is in limit through its end.
 */

function aged(place: Place, changed: string, until: string): Finding[] {
  const told = [
    office(place, undefined, changed),
    ...['developer', 'fixer'].map((bath) => ({
      type: 'chemistry.changed',
      time: changed,
      data: { line: 'M1', bath, kind: 'standard', by: 'op-1' },
    })),
  ];
  return findings(told, until).filter(({ rule }) => rule === 'common/chemistry-age/chemistry-age');
}

const stateRung = (finding: Finding | undefined) => finding?.chain.find(({ layer }) => layer === 'state');
const before = (instant: string) => new Date(Date.parse(instant) - 1).toISOString();

describe('the day after the last day of the period, at midnight in the office', () => {
  test.each([
    // Two months end on the day the clocks change: midnight of the 9th is already daylight time.
    { place: 'us-wa', changed: '2026-01-08T20:30:00Z', over: '2026-03-09T07:00:00Z' },
    // 30 June and two months: through Sunday 30 August.
    { place: 'us-wa', changed: '2026-06-30T16:00:00Z', over: '2026-08-31T07:00:00Z' },
    // The last of a month: through 28 February, 29 in a leap year, standard time.
    { place: 'us-wa', changed: '2025-12-31T20:00:00Z', over: '2026-03-01T08:00:00Z' },
    { place: 'us-wa', changed: '2027-12-31T20:00:00Z', over: '2028-03-01T08:00:00Z' },
    // Late in the evening the office's day is not the day of UTC.
    { place: 'us-wa', changed: '2026-01-09T05:30:00Z', over: '2026-03-09T07:00:00Z' },
    // Three months: through Thursday 1 October.
    { place: 'us-nm', changed: '2026-07-01T14:00:00Z', over: '2026-10-02T06:00:00Z' },
    // 30 November and three months: through 28 February.
    { place: 'us-nm', changed: '2025-11-30T16:00:00Z', over: '2026-03-01T07:00:00Z' },
    // Over the change of clocks in autumn: through 15 November, standard time again.
    { place: 'us-nm', changed: '2026-08-15T14:00:00Z', over: '2026-11-16T07:00:00Z' },
  ] as const)('$place, changed $changed: law from $over, not a millisecond earlier', ({ place, changed, over }) => {
    expect(aged(place, changed, before(over)).filter(({ severity }) => severity === 'law')).toEqual([]);
    const [finding, ...others] = aged(place, changed, over);
    expect(others).toEqual([]);
    expect(finding?.severity).toBe('law');
    expect(stateRung(finding)).toMatchObject({ verdict: 'broken', bound: Date.parse(over) });
  });
});

test('two months before sixty days: Washington opens as law while practice is still met', () => {
  const [finding] = aged('us-wa', '2026-01-08T20:30:00Z', '2026-03-09T07:00:00Z');
  expect(new Date(finding?.openedAt ?? 0).toISOString()).toBe('2026-03-09T07:00:00.000Z');
  expect(finding?.chain.find(({ layer }) => layer === 'practice')?.verdict).toBe('met');
});

test('sixty days before three months: New Mexico opens as a warning of practice and rises', () => {
  const [warning] = aged('us-nm', '2026-07-01T14:00:00Z', '2026-10-02T05:59:59.999Z');
  expect(warning?.severity).toBe('warning');
  // 60 days after 1 July is 30 August; midnight after it, daylight time.
  expect(new Date(warning?.openedAt ?? 0).toISOString()).toBe('2026-08-31T06:00:00.000Z');
  expect(stateRung(warning)?.verdict).toBe('met');
  const [law] = aged('us-nm', '2026-07-01T14:00:00Z', '2026-10-02T06:00:00Z');
  expect(law?.id).toBe(warning?.id);
  expect(law?.severity).toBe('law');
});

describe('Minnesota', () => {
  test('a year-old bath is practice, never law, and no state rung pretends to a number', () => {
    const [finding, ...others] = aged('us-mn', '2025-06-02T14:00:00Z', '2026-06-02T14:00:00Z');
    expect(others).toEqual([]);
    expect(finding?.severity).toBe('warning');
    expect(finding?.chain.map(({ layer }) => layer)).toEqual(['practice']);
  });

  test('the period is recorded as not known', () => {
    const state = rules.find(({ id }) => id === 'us-mn/processing');
    expect(state?.notKnown.map(({ topic }) => topic)).toContain('chemistry age');
    const set = book.at(Date.parse('2026-06-02T14:00:00Z'), { zone: places['us-mn'], jurisdictions: ['us', 'us-mn'] });
    expect((set.limits.get('chemistry-age') ?? []).filter(({ pack }) => pack.layer !== 'practice')).toEqual([]);
  });
});

test('the quick-developer box is not held to the period of the tank', () => {
  const told = [
    office('us-wa'),
    ...['developer', 'fixer'].map((bath) => ({
      type: 'chemistry.changed',
      time: '2026-01-08T20:30:00Z',
      data: { line: 'C1', bath, kind: 'rapid', by: 'op-1' },
    })),
  ];
  expect(findings(told, '2026-06-01T00:00:00Z').filter(({ line }) => line === 'C1')).toEqual([]);
});
