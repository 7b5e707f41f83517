import { describe, expect, test } from '@jest/globals';
import { Office } from './office.js';

const wedge = `pack: test/wedge
layer: practice
checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    hold: line
    severity: standard
    say: '{wedge.steps} steps {wedge.direction}'
    $tests
`;
/** Base and fog, then seven steps. */
const reference = [0.2, 0.5, 0.9, 1.3, 1.7, 2.1, 2.5, 2.9];
const read = (densities: readonly number[], more: object = {}) => ({ line: 'M1', densities, ...more });

function after(densities: readonly number[], more: object = {}, made: object = {}) {
  const office = new Office(wedge);
  office.add('2026-01-12T08:00', 'stepwedge.read', read(reference, { difference: { steps: 0 }, ...made }));
  office.add('2026-02-11T08:00', 'stepwedge.read', read(densities, more));
  return office;
}
const message = (office: Office) => office.findings().map((one) => one.message);

describe('a strip read in densities', () => {
  test.each([
    ['on the reference', reference, []],
    ['its middle step as dark as the second', [0.2, 0.2, 0.3, 0.5, 0.9, 1.3, 1.7, 2.1], []],
    ['as the first', [0.2, 0.2, 0.2, 0.3, 0.5, 0.9, 1.3, 1.7], ['3 steps lighter']],
    ['half way between', [0.2, 0.2, 0.2, 0.4, 0.7, 1.1, 1.5, 1.9], ['2.5 steps lighter']],
    ['lighter than any', [0.2, 0.2, 0.2, 0.2, 0.25, 0.3, 0.4, 0.5], ['4 steps lighter']],
    ['as the last', [0.3, 1.7, 2.1, 2.5, 2.9, 3, 3, 3], ['3 steps darker']],
    ['two steps and the noise of a densitometer', [0.2, 0.2, 0.3, 0.5, 0.86, 1.3, 1.7, 2.1], []],
  ])('%s', (_, densities, expected) => {
    expect(message(after(densities))).toEqual(expected);
    // Which end of the strip is read first does not matter.
    const turned = (list: readonly number[]) => [list[0] ?? 0, ...list.slice(1).reverse()];
    expect(message(after(turned(densities), {}, { densities: turned(reference) }))).toEqual(expected);
  });

  test('L17a: within two steps it clears the hold of a strip that was laid beside the reference', () => {
    const office = after(reference);
    office.add('2026-02-12T08:00', 'stepwedge.read', { line: 'M1', difference: { steps: 4, direction: 'lighter' } });
    expect(office.board('2026-02-12T09:00').state).toBe('hold');
    office.add('2026-02-12T10:00', 'stepwedge.read', read([0.2, 0.2, 0.3, 0.5, 0.9, 1.3, 1.7, 2.1]));
    expect(office.findings()).toMatchObject([{ state: 'cleared', closedAt: office.at('2026-02-12T10:00') }]);
  });

  test('without those of the reference film it says nothing, clears nothing, and the list says what is missing', () => {
    const office = new Office(wedge);
    office.add('2026-02-11T08:00', 'stepwedge.read', { line: 'M1', difference: { steps: 4, direction: 'lighter' } });
    office.add('2026-02-11T10:00', 'stepwedge.read', read(reference));
    expect(office.findings()).toMatchObject([{ state: 'open' }]);
    expect(office.board('2026-02-11T11:00').weekly).toMatchObject([
      { kind: 'notEvaluable', missing: ['wedge.steps'], send: ['stepwedge.read'] },
    ]);
  });

  test('L16: the reference stays, also at a chemistry change; only another reference film takes its place', () => {
    const lighter = [0.2, 0.2, 0.3, 0.5, 0.9, 1.3, 1.7, 2.1];
    const lightest = [0.2, 0.2, 0.2, 0.2, 0.3, 0.5, 0.9, 1.3];
    const office = after(lighter, { difference: { steps: 0 } });
    office.add('2026-02-12T08:00', 'chemistry.changed', { line: 'M1', bath: 'developer', by: 'op-2' });
    office.add('2026-02-13T08:00', 'stepwedge.read', read(lightest));
    expect(message(office)).toEqual(['4 steps lighter']);
    const other = after(lighter, { difference: { steps: 0 }, reference: 'ref-2' }, { reference: 'ref-1' });
    other.add('2026-02-13T08:00', 'stepwedge.read', read(lightest, { reference: 'ref-2' }));
    expect(message(other)).toEqual([]);
  });

  test('films of another lot, another reference film or another wedge are not comparable', () => {
    const bad = [0.2, 0.2, 0.2, 0.2, 0.25, 0.3, 0.4, 0.5];
    expect(message(after(bad, { lot: 'L2' }, { lot: 'L1' }))).toEqual([]);
    expect(message(after(bad, { reference: 'ref-2' }, { reference: 'ref-1' }))).toEqual([]);
    expect(message(after(bad.slice(0, 5)))).toEqual([]);
  });
});
