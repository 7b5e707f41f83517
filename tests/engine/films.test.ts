import { expect, test } from '@jest/globals';
import { Dice } from '../../src/cli/demo/random.js';
import { indexFilms } from '../../src/engine/apply/films.js';
import { createState, step } from '../../src/engine/fold.js';
import { caps } from '../../src/engine/state.js';
import { Office } from './office.js';

test('films that are looked up are the films that would be found, also when the ring is full', () => {
  const { book, events } = new Office('pack: test/none\nlayer: practice\n');
  const made = (film: string, n: number) =>
    ({
      ...{ at: (events[0]?.at ?? 0) + 1000 + n, rank: 5, source: 'office', id: `x-${n}`, site: 'test' },
      ...(n % 3 === 0
        ? { type: 'film.processed', data: { line: 'M1', method: 'manual', films: [film], purpose: 'patient' } }
        : { type: 'film.exposed', data: { film, tube: 'R1' } }),
    }) as (typeof events)[number];
  const dice = new Dice('films');
  const films = Array.from({ length: 3000 }, () => dice.whole(0, 1300));
  const [plain, indexed] = [createState(), createState()];
  indexFilms(indexed);
  for (const event of [...events, ...films.map((film, n) => made(`F-${film}`, n))])
    for (const state of [plain, indexed]) step(state, event, book);
  expect(plain.films.length).toBe(caps.films);
  expect(plain.dropped['films']).toBeGreaterThan(0);
  expect(indexed).toEqual(plain);
});
