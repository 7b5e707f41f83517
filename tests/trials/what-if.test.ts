import { describe, expect, jest, test } from '@jest/globals';
import fc from 'fast-check';
import type { AnyEvent } from '../../src/events/event.js';
import { type Edition, PackBook } from '../../src/packs/book.js';
import type { Limit, Pack } from '../../src/packs/model.js';
import { effective, foldSite } from '../../src/trials/fold-site.js';
import { type Beginning, Trial, type WhatIf } from '../../src/trials/what-if/index.js';
import { histories } from '../oracle/histories.js';
import { books } from '../oracle/publications.js';
import { shipped } from '../scenarios/stage.js';
import { decoded, long, patience, seed, tries } from '../oracle/settings.js';
import { difference, listed } from './difference.js';

jest.setTimeout(patience);

interface Tried {
  readonly answer: WhatIf;
  /** Only some rules were folded, to the end. */
  readonly sliced: boolean;
}

const changed = (id: string, change: (pack: Pack) => Partial<Pack>): PackBook =>
  new PackBook(shipped.packs.map((pack) => (pack.id === id ? { ...pack, ...change(pack) } : pack)));
const bound = (limit: Limit, by: number): Limit => {
  const more = (side: Limit['max']) =>
    side?.kind === 'quantity'
      ? { ...side, quantity: { ...side.quantity, canonical: side.quantity.canonical + by } }
      : side?.kind === 'period'
        ? { ...side, period: { ...side.period, count: side.period.count + by } }
        : side;
  return { ...limit, min: more(limit.min), max: more(limit.max) };
};

/** Packs that always stand: a rule less, limits that are others, a pack less or more, other words. */
const undated: readonly PackBook[] = [
  shipped,
  books[1] as PackBook,
  changed('common/chemistry-age', ({ rules }) => ({ rules: rules.slice(1) })),
  changed('common/chemistry-age', ({ limits }) => ({ limits: limits.map((limit) => bound(limit, -25)) })),
  changed('common/wedge', ({ limits }) => ({ limits: limits.map((limit) => bound(limit, -1)) })),
  changed('common/temperatures', ({ limits }) => ({ limits: limits.map((limit) => bound(limit, -2)) })),
  changed('common/instruments', ({ limits }) => ({ limits: limits.map((limit) => bound(limit, 1)) })),
  changed('us-wa/processing', ({ limits }) => ({ limits: limits.slice(1) })),
  changed('common/daily', ({ rules }) => ({ rules: rules.map((rule) => ({ ...rule, advise: 'Otherwise.' })) })),
  new PackBook(shipped.packs.filter(({ id }) => id !== 'common/processing-times')),
];

/** One site as whoever has the events tries it. */
function tryOn(
  events: readonly AnyEvent[],
  before: readonly Edition[],
  after: readonly Edition[],
  until: number,
  beginning: Beginning,
): Tried {
  const trial = new Trial(before, after, until);
  const whole = (every: boolean): boolean => {
    const one = trial.site(beginning, every);
    for (const event of effective(events)) {
      one.step(event);
      one.settle();
      if (one.isCrowded()) {
        one.drop();
        return false;
      }
    }
    one.end(until);
    return true;
  };
  const crowded = !whole(false);
  if (crowded) expect(whole(true)).toBe(true);
  return { answer: trial.answer(), sliced: !crowded && !trial.affected.whole && beginning.crowd !== undefined };
}

/** What rules outside the slice have found, at most. */
function crowdOf(events: readonly AnyEvent[], before: readonly Edition[], after: readonly Edition[], until: number) {
  const { folded } = new Trial(before, after, until).affected;
  const others = [...foldSite(events, new PackBook(before), until).findings.values()].filter(
    ({ rule }) => !folded.has(rule),
  );
  return { open: others.length, closed: others.filter(({ closedAt }) => closedAt !== undefined).length };
}

describe(`what would have been found with other packs, on generated histories, seed ${seed}`, () => {
  test('the same packs: nothing', () => {
    fc.assert(
      fc.property(histories(), fc.constantFrom(...books), ({ events, until }, { editions }) => {
        const all = events.map(decoded);
        const { answer } = tryOn(all, editions, editions, until, { crowd: { open: 0, closed: 0 } });
        expect(answer).toMatchObject({ counts: { added: 0, removed: 0, changed: 0 }, byRule: [], bySite: [] });
      }),
      tries(6),
    );
  });

  test('what comes, goes and changes is the difference of two whole folds, whichever rules are folded', () => {
    const seen = { added: 0, removed: 0, changed: 0, sliced: 0 };
    fc.assert(
      fc.property(
        histories({ min: 10, max: 60 }),
        fc.oneof(
          fc.tuple(fc.constantFrom(...books), fc.constantFrom(...books)),
          fc.tuple(fc.constantFrom(...undated), fc.constantFrom(...undated)),
        ),
        ({ events, until }, [{ editions: before }, { editions: after }]) => {
          const all = events.map(decoded);
          const expected = difference(all, before, after, until);
          const sliced = tryOn(all, before, after, until, { crowd: crowdOf(all, before, after, until) });
          const whole = tryOn(all, before, after, until, {});
          expect(listed(sliced.answer)).toEqual(expected);
          expect(listed(whole.answer)).toEqual(expected);
          if (sliced.sliced) seen.sliced += 1;
          for (const kind of ['added', 'removed', 'changed'] as const) seen[kind] += expected[kind].length;
        },
      ),
      tries(8),
    );
    // Of a few cases not every kind can be asked for.
    const wanted = long ? Object.entries(seen) : [['differences', seen.added + seen.removed + seen.changed] as const];
    for (const [what, count] of wanted) expect([what, count > 0]).toEqual([what, true]);
  });
});
