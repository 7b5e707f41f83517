import { describe, expect, test } from '@jest/globals';
import { minutes, Office } from './office.js';

/** Which films a refixing settles: by name wherever they were developed, by number where it says so. */

const refix = `pack: test/refix
layer: practice
duties:
  - id: refix
    title: Fix chairside films for keeping
    must: { event: film.refixed }
    per: line
    after: { event: film.processed, with: { method: chairside } }
    within: 24 h
    eachFilm: true
    severity: warning
    say: '{count} films'
    $tests
`;
const lines = [
  { id: 'M1', method: 'manual' },
  { id: 'C1', method: 'chairside' },
  { id: 'C2', method: 'chairside' },
];
const after = '2026-01-08T12:00';

function office() {
  const made = new Office(refix, 'America/Chicago', { lines });
  const run = (time: string, line: string, films: string[] | number) =>
    made.add(`2026-01-06T${time}`, 'film.processed', {
      line,
      method: line === 'M1' ? 'manual' : 'chairside',
      ...(typeof films === 'number' ? { count: films } : { films }),
    });
  const refixed = (time: string, line: string, films: string[] | number) =>
    made.add(`2026-01-06T${time}`, 'film.refixed', {
      line,
      fixer: { time: minutes(10) },
      wash: { time: minutes(20) },
      ...(typeof films === 'number' ? { count: films } : { films }),
    });
  const owed = () => made.findings(after).map(({ line, message }) => `${line} ${message}`);
  return { run, refixed, owed };
}

describe('films refixed', () => {
  test('by name, on whatever line: the film that was named is settled', () => {
    const { run, refixed, owed } = office();
    run('09:00', 'C1', ['F1', 'F2']);
    run('09:10', 'C2', ['F3']);
    refixed('12:00', 'M1', ['F2', 'F3']);
    expect(owed()).toEqual(['C1 1 films']);
  });

  test('a film of another run never stands for one that was only counted', () => {
    const { run, refixed, owed } = office();
    run('08:00', 'M1', ['F9']);
    run('09:00', 'C1', 2);
    refixed('12:00', 'C1', ['F9']);
    expect(owed()).toEqual(['C1 2 films']);
  });

  test('a name that no run gave may be one of those only counted, never another film with a name', () => {
    const { run, refixed, owed } = office();
    run('09:00', 'C1', ['F1']);
    run('09:10', 'C1', 2);
    refixed('12:00', 'C1', ['F7']);
    expect(owed()).toEqual(['C1 2 films']);
    refixed('12:10', 'C1', ['F1']);
    expect(owed()).toEqual(['C1 1 films']);
  });

  test('by number on the line of the tank: the oldest of the chairside films, and never more than were said', () => {
    const { run, refixed, owed } = office();
    run('09:00', 'C1', 2);
    run('09:10', 'C2', 2);
    refixed('12:00', 'M1', 3);
    expect(owed()).toEqual(['C2 1 films']);
  });
});

describe('said twice, or first by number', () => {
  test('a number and then a name are two films of the two, whichever came first', () => {
    for (const first of [1, ['a']] as const) {
      const { run, refixed, owed } = office();
      run('09:00', 'C1', ['a', 'b']);
      refixed('12:00', 'C1', typeof first === 'number' ? 1 : [...first]);
      refixed('12:10', 'C1', typeof first === 'number' ? ['a'] : 1);
      expect(owed()).toEqual([]);
    }
  });

  test('a name said twice is one film', () => {
    const { run, refixed, owed } = office();
    run('09:00', 'C1', 2);
    refixed('12:00', 'C1', ['a']);
    refixed('12:10', 'C1', ['a']);
    expect(owed()).toEqual(['C1 1 films']);
  });
});
