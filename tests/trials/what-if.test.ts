import { describe, expect, jest, test } from '@jest/globals';
import fc from 'fast-check';
import type { Finding } from '../../src/engine/finding.js';
import type { AnyEvent } from '../../src/events/event.js';
import { type Edition, PackBook } from '../../src/packs/book.js';
import { effective, foldSite } from '../../src/trials/fold-site.js';
import { type Beginning, Trial, type WhatIf } from '../../src/trials/what-if/index.js';
import { histories } from '../oracle/histories.js';
import { books } from '../oracle/publications.js';
import { decoded, patience, seed, tries } from '../oracle/settings.js';

jest.setTimeout(patience);

interface Tried {
  readonly answer: WhatIf;
  readonly crowded: boolean;
}

/** One site as whoever has the events tries it. */
function tryOn(
  events: readonly AnyEvent[],
  before: readonly Edition[],
  after: readonly Edition[],
  until: number,
  beginning: Beginning,
  from?: AnyEvent,
): Tried {
  const trial = new Trial(before, after);
  const whole = (every: boolean): boolean => {
    const one = trial.site(beginning, every);
    let begun = from === undefined;
    for (const event of effective(events)) {
      if (begun) one.step(event);
      if (event === from) begun = true;
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
  return { answer: trial.answer(), crowded };
}

/** What rules outside the slice have found, at most. */
function crowdOf(events: readonly AnyEvent[], before: readonly Edition[], after: readonly Edition[], until: number) {
  const { folded } = new Trial(before, after).affected;
  const others = [...foldSite(events, new PackBook(before), until).findings.values()].filter(
    ({ rule }) => !folded.has(rule),
  );
  return { open: others.length, closed: others.filter(({ closedAt }) => closedAt !== undefined).length };
}

/** The difference of two whole folds, told apart from the code under test. */
function difference(events: readonly AnyEvent[], before: readonly Edition[], after: readonly Edition[], until: number) {
  const [ours, theirs] = [before, after].map(
    (editions) => foldSite(events, new PackBook(editions), until).findings,
  ) as [Map<string, Finding>, Map<string, Finding>];
  const shown = (finding: Finding | undefined) => {
    const { packVersion: _, touchedAt: __, ...rest } = finding ?? ({} as Finding);
    return JSON.stringify(rest);
  };
  return {
    added: [...theirs.keys()].filter((id) => !ours.has(id)).sort(),
    removed: [...ours.keys()].filter((id) => !theirs.has(id)).sort(),
    changed: [...ours.keys()].filter((id) => theirs.has(id) && shown(ours.get(id)) !== shown(theirs.get(id))).sort(),
  };
}

const listed = ({ added, removed, changed }: WhatIf) => ({
  added: added.map(({ finding }) => finding.id).sort(),
  removed: removed.map(({ finding }) => finding.id).sort(),
  changed: changed.map(({ after }) => after.id).sort(),
});

describe(`what would have been found with other packs, on generated histories, seed ${seed}`, () => {
  test('the same packs: nothing', () => {
    fc.assert(
      fc.property(histories(), fc.constantFrom(...books), ({ events, until }, { editions }) => {
        const all = events.map(decoded);
        const { answer } = tryOn(all, editions, editions, until, { crowd: { open: 0, closed: 0 } });
        expect(answer).toMatchObject({ counts: { added: 0, removed: 0, changed: 0 }, byRule: [], bySite: [] });
      }),
      tries(10),
    );
  });

  test('what comes, goes and changes is the difference of two whole folds, whichever rules are folded', () => {
    const seen = { added: 0, removed: 0, changed: 0, sliced: 0 };
    fc.assert(
      fc.property(
        histories({ min: 10, max: 60 }),
        fc.constantFrom(...books),
        fc.constantFrom(...books),
        ({ events, until }, { editions: before }, { editions: after }) => {
          const all = events.map(decoded);
          const expected = difference(all, before, after, until);
          const sliced = tryOn(all, before, after, until, { crowd: crowdOf(all, before, after, until) });
          const whole = tryOn(all, before, after, until, {});
          expect(listed(sliced.answer)).toEqual(expected);
          expect(listed(whole.answer)).toEqual(expected);
          if (!sliced.crowded) seen.sliced += 1;
          for (const kind of ['added', 'removed', 'changed'] as const) seen[kind] += expected[kind].length;
        },
      ),
      tries(12),
    );
    for (const [what, count] of Object.entries(seen)) expect([what, count > 0]).toEqual([what, true]);
  });
});
