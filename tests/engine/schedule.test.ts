import { describe, expect, test } from '@jest/globals';
import { nextAfter, nextLook, schedule } from '../../src/engine/duties/schedule.js';
import type { DutyState, SiteState } from '../../src/engine/state.js';
import { Office } from './office.js';

const withLooks = (...looks: readonly (number | null)[]) =>
  ({ duties: Object.fromEntries(looks.map((look, index) => [`d-${index}`, { look }])) }) as unknown as SiteState;

test('the next look is the smallest of those that have one', () => {
  expect(nextLook(withLooks())).toBeNull();
  expect(nextLook(withLooks(null, null))).toBeNull();
  expect(nextLook(withLooks(null, 30, 10, 20))).toBe(10);
  expect(nextLook(withLooks(30, null, 20, null))).toBe(20);
  expect(nextLook(withLooks(0, 10))).toBe(0);
  expect(nextLook(withLooks(-5, 0))).toBe(-5);
});

test('the next due instant lies after the given one, not at it', () => {
  expect(nextAfter(10, [])).toBeNull();
  expect(nextAfter(10, [5, 10])).toBeNull();
  expect(nextAfter(10, [30, 11, 20])).toBe(11);
  expect(nextAfter(10, [20, 20, 30])).toBe(20);
});

describe('when a duty is looked at', () => {
  const duties = `
pack: test/duties
layer: practice
duties:
  - id: monthly
    title: Monthly
    must: { event: darkroom.checked }
    per: site
    every: 1 mo
    severity: advice
    say: Due.
    $tests
  - id: films
    title: After films
    must: { event: stepwedge.read }
    per: line
    every: { films: 3 }
    severity: advice
    say: Due.
    $tests
  - id: before
    title: Before
    must: { event: stepwedge.read }
    per: line
    before: { event: film.processed }
    severity: advice
    say: Due.
    $tests
`;
  const office = new Office(duties);
  const { state } = office.fold('2026-01-06T00:00');
  const rules = office.book.at(state.at, state.site ?? { zone: 'UTC', jurisdictions: [] });
  const look = (id: string, instance: Partial<DutyState>, at = state.at) => {
    const own = Object.values(state.duties).find(({ rule }) => rule.endsWith(`/${id}`));
    const duty = rules.duties.find(({ id: name }) => name.endsWith(`/${id}`));
    if (own === undefined || duty === undefined || state.site === null) throw new Error(`no duty ${id}`);
    const copy = { ...own, look: 7, ...instance };
    schedule({ at, state, site: state.site, rules }, duty, copy);
    return copy.look;
  };

  test('at the end of its period', () => {
    expect(look('monthly', { since: office.at('2026-01-05T10:00') })).toBe(office.at('2026-02-06T00:00'));
    const done = { source: 'office', id: 'x', at: office.at('2026-01-20T10:00') };
    expect(look('monthly', { done: done as unknown as DutyState['done'] })).toBe(office.at('2026-02-21T00:00'));
  });

  test('never before now', () => {
    const now = office.at('2026-06-01T00:00');
    expect(look('monthly', { since: office.at('2026-01-05T10:00') }, now)).toBe(now);
  });

  test('by a number of films alone, at no instant; and one that is not periodic is left as it is', () => {
    expect(look('films', {})).toBeNull();
    expect(look('before', {})).toBe(7);
  });
});
