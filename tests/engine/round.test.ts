import { describe, expect, test } from '@jest/globals';
import { degF, Office } from './office.js';

/** The opening round of a whole office, sent without a line. */

const rules = `pack: test/round
layer: practice
checks:
  - id: levels
    title: Levels low
    on: [day.opened]
    about: line
    for: { method: manual }
    when: { fact: opening.levels, operator: equal, value: false }
    clears: passing
    severity: advice
    say: 'Low on {line}'
    $tests
duties:
  - id: temperature
    title: Temperature first
    must: { event: day.opened, has: [temperature] }
    per: line
    for: { method: manual }
    before: { event: film.processed }
    severity: warning
    say: 'No temperature on {line}'
    $tests
`;
const tanks = (...ids: string[]) => ({
  lines: [...ids.map((id) => ({ id, method: 'manual' })), { id: 'C1', method: 'chairside' }],
});
const office = (...ids: string[]) => new Office(rules, 'America/Chicago', tanks(...ids));
const run = (line: string) => ({ line, method: 'manual', count: 2 });
const said = (made: Office) => made.findings().map(({ message }) => message);

describe('an opening round of the whole office', () => {
  test('says what it saw of every line', () => {
    const made = office('M1', 'M2');
    made.add('2026-01-06T08:00', 'day.opened', { levels: false });
    expect(said(made)).toEqual(['Low on M1', 'Low on M2']);
    made.add('2026-01-07T08:00', 'day.opened', { levels: true });
    expect(made.findings().map(({ state }) => state)).toEqual(['cleared', 'cleared']);
  });

  test('its temperature is that of the only tank', () => {
    const made = office('M1');
    made.add('2026-01-06T08:00', 'day.opened', { temperature: degF(68) });
    made.add('2026-01-06T08:10', 'film.processed', run('M1'));
    expect(said(made)).toEqual([]);
    expect(made.fold().state.lines['M1']?.baths['developer']?.temperature?.value).toBeCloseTo(20);
  });

  test('of two tanks nobody knows which: it is the reading of none', () => {
    const made = office('M1', 'M2');
    made.add('2026-01-06T08:00', 'day.opened', { temperature: degF(68) });
    made.add('2026-01-06T08:10', 'film.processed', run('M1'));
    expect(said(made)).toEqual(['No temperature on M1']);
    expect(made.fold().state.lines['M1']?.baths['developer']?.temperature).toBeUndefined();
  });
});
