import { describe, expect, jest, test } from '@jest/globals';
import fc from 'fast-check';
import type { Finding } from '../../src/engine/finding.js';
import { advance, cloneState, createState, step } from '../../src/engine/fold.js';
import type { SiteState } from '../../src/engine/state.js';
import type { AnyEvent } from '../../src/events/event.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped as book } from '../scenarios/stage.js';
import { histories } from './histories.js';
import { inOrder } from './naive.js';
import { disagreements, reference } from './oracle.js';
import { decoded, patience, plain, seed, tries } from './settings.js';

jest.setTimeout(patience);

/** Steps through events in the oracle's order; `between` may do anything to the state before each step. */
function walk(
  events: readonly AnyEvent[],
  until: number,
  between: (state: SiteState, next: AnyEvent, keep: (touched: Finding[]) => void) => SiteState,
): Map<string, Finding> {
  const findings = new Map<string, Finding>();
  const keep = (touched: Finding[]): void => {
    // One id is one finding (L10).
    expect(new Set(touched.map(({ id }) => id)).size).toBe(touched.length);
    for (const finding of touched) findings.set(finding.id, structuredClone(finding));
  };
  let state = createState();
  for (const event of inOrder(events)) {
    state = between(state, event, keep);
    keep(step(state, event, book));
  }
  keep(advance(state, until, book));
  return findings;
}

describe(`the laws of the fold on generated histories, seed ${seed}`, () => {
  test('L1 to L3: any order and any repetition of the events give the oracle’s findings', () => {
    fc.assert(
      fc.property(
        histories().chain((history) =>
          fc.record({
            history: fc.constant(history),
            arrived: fc.shuffledSubarray([...history.events], { minLength: history.events.length }),
            again: fc.subarray([...history.events]),
          }),
        ),
        ({ history, arrived, again }) => {
          const { folded } = reference(history.events.map(decoded), book, history.until);
          const other = foldSite([...arrived, ...again].map(decoded), book, history.until);
          expect(plain(other.findings.values())).toEqual(plain(folded.findings.values()));
          expect(other.state).toEqual(folded.state);
        },
      ),
      tries(100),
    );
  });

  test('L4: a retraction equals the absence of both', () => {
    fc.assert(
      fc.property(histories(), ({ events, until }) => {
        const all = events.map(decoded);
        const taken = new Set(
          all.flatMap((event) => (event.type === 'event.retracted' ? [`${event.data.source} ${event.data.id}`] : [])),
        );
        const without = all.filter(
          (event) => event.type !== 'event.retracted' && !taken.has(`${event.source} ${event.id}`),
        );
        expect(plain(foldSite(all, book, until).findings.values())).toEqual(
          plain(foldSite(without, book, until).findings.values()),
        );
      }),
      tries(50),
    );
  });

  test('L5: advancing to a and then to b equals advancing to b', () => {
    fc.assert(
      fc.property(
        histories(),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.nat(),
        ({ events, until }, one, other, cut) => {
          const all = inOrder(events.map(decoded));
          const state = createState();
          for (const event of all.slice(0, 1 + (cut % all.length))) step(state, event, book);
          const [a = 0, b = 0] = [one, other]
            .map((share) => Math.round(state.at + share * (until - state.at)))
            .sort((x, y) => x - y);
          const [twice, once] = [cloneState(state), cloneState(state)];
          const touched = [
            ...advance(twice, a, book).map((finding) => structuredClone(finding)),
            ...advance(twice, b, book),
          ];
          const straight = advance(once, b, book);
          expect(twice).toEqual(once);
          expect(plain(new Map(touched.map((finding) => [finding.id, finding])).values())).toEqual(plain(straight));
        },
      ),
      tries(50),
    );
  });

  test('L5: looking in between, at a copy or at the state itself, changes nothing', () => {
    fc.assert(
      fc.property(
        histories(),
        fc.infiniteStream(fc.double({ min: 0, max: 0.999, noNaN: true })),
        ({ events, until }, shares) => {
          const all = events.map(decoded);
          const looking = walk(all, until, (state, next, keep) => {
            const share = shares.next().value as number;
            if (state.site === null || next.at <= state.at) return state;
            const to = Math.floor(state.at + share * (next.at - state.at));
            advance(cloneState(state), next.at + 30 * 86_400_000, book);
            if (to < next.at) keep(advance(state, to, book));
            return state;
          });
          expect(plain(looking.values())).toEqual(plain(foldSite(all, book, until).findings.values()));
        },
      ),
      tries(50),
    );
  });

  test('L6: writing the state down and reading it back between any two steps changes nothing', () => {
    fc.assert(
      fc.property(histories(), ({ events, until }) => {
        const all = events.map(decoded);
        const written = walk(all, until, (state) => JSON.parse(JSON.stringify(state)) as SiteState);
        expect(plain(written.values())).toEqual(plain(foldSite(all, book, until).findings.values()));
      }),
      tries(50),
    );
  });

  test('L18, L20: json-rules-engine and a plain walk of the tree agree with the closures on every evaluation', async () => {
    await fc.assert(
      fc.asyncProperty(histories({ min: 5, max: 25 }), async ({ events, until }) => {
        const { evaluations } = reference(events.map(decoded), book, until);
        expect(await disagreements(evaluations)).toEqual([]);
      }),
      tries(15),
    );
  });
});
