import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { alikeTo } from '../../src/engine/alike.js';
import { createState } from '../../src/engine/fold.js';
import type { FilmState, SiteState } from '../../src/engine/state.js';
import type { LedgerEvent } from '../../src/events/event.js';

const hour = 3_600_000;
const noon = Date.UTC(2026, 2, 4, 12);
const review: LedgerEvent<'film.reviewed'> = {
  ...{ type: 'film.reviewed', source: 'pms', id: 'r', site: 's', at: noon, rank: 0 },
  data: { film: 'F0', grade: 'unacceptable', signs: ['light_image'] },
};

function office(films: readonly Partial<FilmState>[]): SiteState {
  const state = createState();
  state.day = { start: noon - 12 * hour, end: noon + 12 * hour, date: '2026-03-04' };
  state.films = films.map((film, index) => ({ film: `F${index}`, exposedAt: noon - hour, ...film }));
  return state;
}
const bad = (film: Partial<FilmState>): Partial<FilmState> => ({ signs: ['light_image'], ...film });
const good = (film: Partial<FilmState>): Partial<FilmState> => ({ signs: [], ...film });
const times = (count: number, film: Partial<FilmState>) => Array.from({ length: count }, () => film);
const shared = (state: SiteState, kinship: string) =>
  alikeTo(state, review).common.find((one) => one.kinship === kinship);

describe('what films that show the same have in common', () => {
  test('a unit that made all six of them, and few of the others: the exact test, by hand 1 in 924', () => {
    const state = office([...times(6, bad({ tube: 'R1' })), ...times(6, good({ tube: 'R2' }))]);
    expect(shared(state, 'unit')).toMatchObject({ value: 'R1', count: 6, total: 6, otherCount: 0, otherTotal: 6 });
    // One of the 12! / (6! 6!) ways to choose six films of twelve.
    expect(shared(state, 'unit')?.chance).toBeCloseTo(1 / 924, 12);
  });

  test('unit and person that go together on every film are not told apart; one film that parts them is enough', () => {
    const together = [...times(5, bad({ tube: 'R1', by: 'a' })), ...times(5, good({ tube: 'R2', by: 'b' }))];
    expect(shared(office(together), 'unit')?.inseparableFrom).toContain('person');
    expect(shared(office(together), 'person')?.inseparableFrom).toContain('unit');
    const parted = office([...together, good({ tube: 'R1', by: 'b' })]);
    expect(shared(parted, 'unit')?.inseparableFrom).not.toContain('person');
  });

  test('what nobody looked at today counts as neither; of yesterday, where nobody complained, as without', () => {
    const unseen = office([bad({ tube: 'R1' }), { tube: 'R1' }, { tube: 'R2', exposedAt: noon - 24 * hour }]);
    expect(alikeTo(unseen, review)).toMatchObject({ films: 1, others: 1 });
  });

  test('films older than a week, and films made after the review, are not among them', () => {
    const state = office([bad({}), bad({ exposedAt: noon - 169 * hour }), bad({ exposedAt: noon + 1 })]);
    expect(alikeTo(state, review).films).toBe(1);
  });

  test('its own run: how many show it, how many do not', () => {
    const run = { at: noon - hour, source: 'pms', id: 'p1', type: 'film.processed' };
    const other = { ...run, id: 'p2' };
    const state = office([bad({ run }), bad({ run }), good({ run }), bad({ run: other })]);
    expect(alikeTo(state, review).ofRun).toEqual({ with: 2, without: 1 });
    expect(alikeTo(state, review).distinct).toMatchObject({ run: 2 });
  });

  test('an empty record', () => {
    expect(alikeTo(office([]), review)).toMatchObject({ films: 0, others: 0, common: [] });
  });

  test('whatever the films: chances are chances, counts add up, the order of films does not matter', () => {
    const one = fc.record({
      tube: fc.constantFrom('R1', 'R2'),
      by: fc.constantFrom('a', 'b', 'c'),
      signs: fc.constantFrom<string[]>([], ['light_image'], ['fogged']),
    });
    fc.assert(
      fc.property(fc.array(one, { maxLength: 30 }), (films) => {
        const state = office(films);
        const found = alikeTo(state, review);
        for (const { count, total, otherCount, otherTotal, chance } of found.common) {
          expect(chance).toBeGreaterThan(0);
          expect(chance).toBeLessThanOrEqual(1);
          expect(count).toBeLessThanOrEqual(total);
          expect(otherCount).toBeLessThanOrEqual(otherTotal);
          expect(total + otherTotal).toBeLessThanOrEqual(films.length);
        }
        expect(alikeTo({ ...state, films: [...state.films].reverse() }, review)).toEqual(found);
      }),
    );
  });
});
