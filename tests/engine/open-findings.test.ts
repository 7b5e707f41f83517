import { describe, expect, test } from '@jest/globals';
import { caps } from '../../src/engine/state.js';
import { Office } from './office.js';

/** A hold by the strip, a card for each warm run, advice for each chemistry change without a name. */
const packs = `pack: test/many
layer: practice
checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    hold: line
    severity: standard
    say: '{wedge.steps}'
    $tests
  - id: sight
    title: By sight
    on: [film.processed]
    about: run
    when: { fact: run.endpoint, operator: equal, value: sight }
    severity: warning
    say: sight
    $tests
  - id: nameless
    title: Nameless
    on: [chemistry.changed]
    about: event
    when: { fact: change.byKnown, operator: equal, value: false }
    severity: advice
    say: who
    $tests
duties:
  - id: monthly
    title: Change it
    must: { event: chemistry.changed }
    per: bath
    every: 30 d
    severity: advice
    say: change it
    $tests
`;
const minute = (local: string, index: number) =>
  `${local}T${String(8 + Math.floor(index / 60)).padStart(2, '0')}:${String(index % 60).padStart(2, '0')}`;

function crowded() {
  const office = new Office(packs);
  office.add('2026-03-01T07:00', 'stepwedge.read', { line: 'M1', difference: { steps: 3, direction: 'lighter' } });
  office.add('2026-03-01T07:10', 'chemistry.changed', { line: 'M1', bath: 'fixer' });
  for (let index = 0; index < 600; index++)
    office.add(minute('2026-03-02', index), 'film.processed', {
      line: 'M1',
      method: 'manual',
      count: 1,
      endpoint: 'sight',
    });
  return office;
}

describe('more open findings than the state keeps (L6)', () => {
  test('L17a: six hundred open warnings lose no hold, and its re-test still clears it', () => {
    const office = crowded();
    const { state } = office.fold();
    expect(Object.keys(state.findings)).toHaveLength(caps.findings);
    expect(state.dropped).toMatchObject({ findings: expect.any(Number) });
    expect(office.board('2026-03-02T19:00').lines).toMatchObject([{ id: 'M1', state: 'hold' }, { id: 'C1' }]);
    office.add('2026-03-02T19:30', 'stepwedge.read', { line: 'M1', difference: { steps: 0 } });
    const strip = office.findings().find(({ rule }) => rule === 'test/many/strip');
    expect(strip).toMatchObject({ state: 'cleared', closedAt: office.at('2026-03-02T19:30') });
    expect(office.board('2026-03-02T20:00').lines).toMatchObject([{ id: 'M1', state: 'check' }, { id: 'C1' }]);
  });

  test('what a duty feeds stays, advice goes before warnings, and no list names what has gone', () => {
    const office = crowded();
    const { state } = office.fold('2026-03-03T00:00');
    const open = Object.values(state.findings);
    const owed = Object.values(state.duties).flatMap(({ finding }) => finding ?? []);
    expect(owed.length).toBeGreaterThan(0);
    for (const id of owed) expect(state.findings[id]).toMatchObject({ rule: 'test/many/monthly' });
    expect(open.filter(({ rule }) => rule === 'test/many/nameless')).toEqual([]);
    const named = [...Object.values(state.spells), ...Object.values(state.uneased).flat()];
    for (const id of named) expect(state.findings).toHaveProperty([id]);
    // Of the warnings the oldest went: the newest is there.
    expect(open.filter(({ rule }) => rule === 'test/many/sight').map(({ openedAt }) => openedAt)).toContain(
      office.at(minute('2026-03-02', 599)),
    );
  });

  test('what a later run in range has taken off the board goes first', () => {
    const office = new Office(packs);
    const run = (index: number, endpoint: string) =>
      office.add(minute('2026-03-02', index), 'film.processed', { line: 'M1', method: 'manual', count: 1, endpoint });
    // Older and of lower severity, and yet it stays.
    office.add('2026-03-02T07:30', 'chemistry.changed', { line: 'M1', bath: 'developer' });
    for (let index = 0; index < 10; index++) run(index, 'sight');
    run(10, 'timed');
    for (let index = 12; index < 12 + caps.findings - 11; index++) run(index, 'sight');
    run(700, 'sight');
    const open = Object.values(office.fold().state.findings);
    expect(open.some(({ rule }) => rule === 'test/many/nameless')).toBe(true);
    const eased = open.filter(({ easedAt }) => easedAt !== undefined).map(({ openedAt }) => openedAt);
    expect(eased.length).toBeLessThan(10);
    expect(eased).toContain(office.at(minute('2026-03-02', 9)));
  });
});
