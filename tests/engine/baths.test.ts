import { describe, expect, test } from '@jest/globals';
import { bathsAt, type BathView } from '../../src/engine/baths.js';
import { Office } from './office.js';

const sheet = `
pack: test/sheet
layer: practice
limits:
  - id: chemistry-age
    of: chemistry.age
    max: 60 d
    severity: warning
  - id: developer-films
    of: developer.films
    max: 600
    severity: warning
  - id: developer-area
    of: developer.area
    max: 10000 cm2
    severity: warning
`;

const on = (day: number, clock = '09:00') => `2026-03-${String(day).padStart(2, '0')}T${clock}`;
const run = (own: Office, day: number, data: Record<string, unknown>) =>
  own.add(on(day), 'film.processed', { line: 'M1', method: 'manual', ...data });
const baths = (own: Office, at: string) => bathsAt(own.fold(at).state, own.at(at), own.book);
const developer = (own: Office, at: string): BathView | undefined =>
  baths(own, at).find(({ line, bath }) => line === 'M1' && bath === 'developer');

const filled = () => {
  const own = new Office(sheet);
  own.add(on(2, '07:00'), 'chemistry.changed', { line: 'M1', bath: 'developer', product: 'house' });
  return own;
};

describe('what a bath has processed', () => {
  test('counts films and their area by size, and what came without a size', () => {
    const own = filled();
    run(own, 2, { count: 10, filmSize: '2' });
    run(own, 3, { count: 1, filmSize: 'panoramic' });
    run(own, 4, { count: 3 });
    // 10 films of 31 by 41 mm and one sheet of 150 by 300.
    expect(developer(own, on(5))).toMatchObject({ films: 14, area: 10 * 1271 + 45_000, unsized: 3, age: 3 });
  });

  test('takes the size of a film from its own exposure where the run does not say it', () => {
    const own = filled();
    own.add(on(2, '08:00'), 'film.exposed', { film: 'F-1', tube: 'R1', filmSize: '0' });
    own.add(on(2, '08:00'), 'film.exposed', { film: 'F-2', tube: 'R1' });
    run(own, 2, { films: ['F-1', 'F-2', 'F-3'] });
    expect(developer(own, on(3))).toMatchObject({ films: 3, area: 22 * 35, unsized: 2 });
  });

  test('begins at nothing with a fresh filling; the rate of the line goes on', () => {
    const own = filled();
    for (let day = 2; day < 12; day++) run(own, day, { count: 20, filmSize: '2' });
    own.add(on(12, '07:00'), 'chemistry.changed', { line: 'M1', bath: 'developer' });
    const bath = developer(own, on(12));
    expect(bath).toMatchObject({ films: 0, area: 0, unsized: 0, age: 0 });
    expect(bath?.rate).toEqual({ films: 20, area: 20 * 1271, days: 10 });
  });

  test('without a change on record nothing is known of it', () => {
    const own = new Office(sheet);
    run(own, 2, { count: 4 });
    expect(developer(own, on(3))).toEqual({ line: 'M1', bath: 'developer', reaches: [] });
  });
});

describe('when it reaches its limits', () => {
  test('age at an instant, films and area with an interval, soonest first', () => {
    const own = filled();
    for (let day = 2; day < 16; day++) run(own, day, { count: day % 2 === 0 ? 20 : 30, filmSize: '2' });
    const reaches = developer(own, on(16, '08:00'))?.reaches ?? [];
    expect(reaches.map(({ by }) => by)).toEqual(['films', 'area', 'age']);
    const [films, area, age] = reaches;
    // 350 films of 600 in 14 days, 25 a day: ten days more.
    expect(films?.days).toBeCloseTo(10, 9);
    expect(films?.earliest).toBeLessThan(10);
    expect(films?.latest).toBeGreaterThan(10);
    // Student's t of 13 degrees is 2.160, the variance 26.92: (250 - 25 T)^2 = 125.6 (T + T^2 / 14) at 8.36 and 12.13.
    expect(films?.text).toBe('600 films processed in about 10 days, between 8 and 13.');
    // 10000 cm2 less 350 films of 12.71 cm2, at 25 of them a day.
    expect(area?.days).toBeCloseTo((10_000 - 350 * 12.71) / (25 * 12.71), 9);
    // Through the 60th day after the change.
    expect(new Date(age?.due ?? NaN).toISOString()).toBe('2026-05-02T05:00:00.000Z');
    expect(age?.text).toBe('Age limit 60 days: its last day is Fri 1 May.');
  });

  test('one that is reached says so', () => {
    const own = filled();
    for (let day = 2; day < 12; day++) run(own, day, { count: 61, filmSize: '2' });
    const [films] = developer(own, on(12))?.reaches ?? [];
    expect(films).toMatchObject({ by: 'films', days: 0, text: '600 films processed already.' });
  });

  test('a week of record is needed, and none without use; the age stands alone', () => {
    const own = filled();
    for (let day = 2; day < 6; day++) run(own, day, { count: 20, filmSize: '2' });
    expect(developer(own, on(6))?.reaches.map(({ by }) => by)).toEqual(['age']);
    expect(
      developer(own, on(9))
        ?.reaches.map(({ by }) => by)
        .sort(),
    ).toEqual(['age', 'area', 'films']);
    // Four weeks without a film: at this rate never.
    expect(developer(own, '2026-04-20T09:00')?.reaches.map(({ by }) => by)).toEqual(['age']);
  });
});
