import { describe, expect, jest, test } from '@jest/globals';
import fc from 'fast-check';
import { DateTime } from 'luxon';
import type { Finding } from '../../src/engine/finding.js';
import type { AnyEvent } from '../../src/events/event.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped as book } from '../scenarios/stage.js';
import { histories, type History } from './histories.js';
import { inOrder, oldBaths, runsOffTheChart, wedgeHolds, type Expected, type Law } from './naive.js';
import { decoded, patience, seed, tries } from './settings.js';

jest.setTimeout(patience);

interface Plain {
  readonly events: readonly AnyEvent[];
  readonly until: number;
  readonly zone: string;
  readonly law: Law;
  readonly since: number;
}

/** A history of an office that is set up once, works every day, never closes, and whose people add nothing. */
const steady: fc.Arbitrary<Plain> = histories({ min: 10, max: 70 }).map(({ events, until }: History) => {
  const left = events.filter(
    ({ type, id }) =>
      id === 'e-0' || !(type === 'site.configured' || type === 'site.closed' || type.startsWith('finding.')),
  );
  const all = left.map((event) =>
    decoded(event.id === 'e-0' ? { ...event, data: { ...event.data, workingDays: [1, 2, 3, 4, 5, 6, 7] } } : event),
  );
  const first = all[0];
  if (first?.type !== 'site.configured') throw new Error('a history begins with its configuration');
  return { events: all, until, zone: first.data.zone, law: lawOf(first.data.jurisdictions), since: first.at };
});

function lawOf(places: readonly string[]): Law {
  return (['us-wa', 'us-nm', 'us-mn'] as const).find((place) => places.includes(place));
}

/** The same, but for a site that comes under other laws as time goes on. */
const moving: fc.Arbitrary<Plain> = fc
  .tuple(
    steady,
    fc.array(fc.record({ law: fc.constantFrom(['us-wa'], ['us-nm'], []), on: fc.integer({ min: 50, max: 100 }) }), {
      minLength: 1,
      maxLength: 4,
    }),
  )
  .map(([plain, moves]) => {
    const first = plain.events[0];
    if (first?.type !== 'site.configured') throw new Error('a history begins with its configuration');
    const moved = moves.map(({ law, on }, index): AnyEvent => {
      // At noon or at the instant a day begins: what falls due then is due by the law that begins then.
      const day = DateTime.fromMillis(plain.since, { zone: plain.zone }).plus({ days: on });
      const at = (index % 2 === 0 ? day.startOf('day').plus({ hours: 12 }) : day.startOf('day')).toMillis();
      return { ...first, at, id: `move-${index}`, data: { ...first.data, jurisdictions: ['us', ...law] } };
    });
    return { ...plain, events: [...plain.events, ...moved] };
  });

const of = (findings: Iterable<Finding>, rule: string): Finding[] =>
  [...findings].filter((finding) => finding.rule === rule && finding.line === 'M1');
const seen = (finding: Finding): Expected => ({
  what: '',
  opened: finding.openedAt,
  severity: finding.severity,
  films: finding.films,
  ...(finding.closedAt === undefined ? {} : { closed: finding.closedAt }),
});
const sorted = (list: readonly Expected[]): Expected[] =>
  list.map((one) => ({ ...one, what: '' })).sort((a, b) => a.opened - b.opened || (a.severity < b.severity ? -1 : 1));

describe(`the fold against a naive second derivation, seed ${seed}`, () => {
  const baths = (arbitrary: fc.Arbitrary<Plain>, atLeast: number): void => {
    let found = 0;
    fc.assert(
      fc.property(arbitrary, ({ events, until, zone, since }) => {
        const laws = inOrder(events).flatMap((event) =>
          event.type === 'site.configured' ? [{ from: event.at, law: lawOf(event.data.jurisdictions) }] : [],
        );
        // Baths changed on one day fall due together and are one finding.
        const byDay = new Map<string, Expected>();
        for (const bath of oldBaths(events, { zone, laws, since, until })) {
          const day = `${bath.what} ${bath.opened}`;
          const other = byDay.get(day);
          byDay.set(day, other === undefined ? bath : together(other, bath));
        }
        found += byDay.size;
        const { findings } = foldSite(events, book, until);
        expect(sorted(of(findings.values(), 'common/chemistry-age/chemistry-age').map(seen))).toEqual(
          sorted([...byDay.values()]),
        );
      }),
      tries(100),
    );
    expect(found).toBeGreaterThan(atLeast);
  };

  test('old baths: when they open, how severe they are, what clears them, films developed meanwhile', () => {
    baths(steady, 30);
  });

  test('old baths of a site that comes under other laws: they rise, come down, end and come again', () => {
    baths(moving, 30);
  });

  test('wedge holds: from the first strip more than two steps off to the first within, whatever happens between', () => {
    let found = 0;
    fc.assert(
      fc.property(steady, ({ events, until }) => {
        const holds = wedgeHolds(events, 'M1');
        found += holds.length;
        const { findings } = foldSite(events, book, until);
        expect(sorted(of(findings.values(), 'common/wedge/steps').map(seen))).toEqual(sorted(holds));
      }),
      tries(100),
    );
    expect(found).toBeGreaterThan(40);
  });

  test('development times: every run off the chart is in a finding, on the right word, and no other', () => {
    const found = { short: 0, long: 0 };
    fc.assert(
      fc.property(steady, ({ events, until, zone, law }) => {
        const off = runsOffTheChart(events, law);
        const { findings } = foldSite(events, book, until);
        for (const side of ['short', 'long'] as const) {
          const runs = events.flatMap((event) => {
            const word = off.get(`${event.source} ${event.id}`)?.[side];
            return event.type === 'film.processed' && word !== undefined ? [{ event, word }] : [];
          });
          found[side] += runs.length;
          const list = of(findings.values(), `common/processing-times/development-${side}`);
          const sum = (numbers: readonly number[]): number => numbers.reduce((total, one) => total + one, 0);
          expect(sum(list.map(({ occurrences }) => occurrences))).toBe(runs.length);
          expect(sum(list.map(({ films }) => films))).toBe(
            sum(runs.map(({ event }) => event.data.films?.length ?? event.data.count ?? 0)),
          );
          const day = (at: number): string => DateTime.fromMillis(at, { zone }).toISODate() ?? '';
          expect(new Set(list.map(({ openedAt }) => day(openedAt)))).toEqual(
            new Set(runs.map(({ event }) => day(event.at))),
          );
          for (const finding of list) {
            const own = runs.filter(({ event }) =>
              finding.evidence.some(({ source, id }) => source === event.source && id === event.id),
            );
            expect(own.length).toBeGreaterThan(0);
            expect(finding.openedAt).toBe(Math.min(...own.map(({ event }) => event.at)));
            expect(finding.severity).toBe(own.some(({ word }) => word === 'law') ? 'law' : 'warning');
          }
        }
      }),
      tries(100),
    );
    expect(found.short).toBeGreaterThan(40);
    expect(found.long).toBeGreaterThan(40);
  });
});

function together(a: Expected, b: Expected): Expected {
  const closed = a.closed === undefined || b.closed === undefined ? undefined : Math.max(a.closed, b.closed);
  return {
    what: a.what,
    opened: a.opened,
    severity: [a, b].some(({ severity }) => severity === 'law') ? 'law' : 'warning',
    films: Math.max(a.films, b.films),
    ...(closed === undefined ? {} : { closed }),
  };
}
