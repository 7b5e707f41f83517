import { describe, expect, test } from '@jest/globals';
import { lookUp } from '../../src/packs/chart.js';
import type { Chart } from '../../src/packs/model.js';
import { selects } from '../../src/packs/selector.js';

const chart = (rows: readonly (readonly [number, number])[], doubtful: readonly number[] = []): Chart => ({
  id: 'a/chart',
  title: 'A chart',
  answers: 'development-time-min',
  by: 'run.developer.temperature',
  gives: 'run.developer.time',
  for: {},
  units: { by: 'Cel', gives: 's' },
  rows: rows.map(([key, value]) => ({ key, value })),
  doubtful,
  citation: { text: 'none', read: 'practice' },
});

describe('looking up a chart', () => {
  const three = chart([
    [16, 570],
    [20, 300],
    [26, 120],
  ]);
  test.each([
    ['the first row', 16, 570],
    ['between two rows the colder one', 19.9, 570],
    ['a row exactly', 20, 300],
    ['a row missed by a binary fraction only', 20 - 1e-12, 300],
    ['the last row', 26, 120],
    ['the last row passed by a binary fraction only', 26 + 1e-12, 120],
    ['below the first row', 15.9, undefined],
    ['above the last row', 26.1, undefined],
  ])('%s', (_what, key, value) => {
    expect(lookUp(three, key)).toBe(value);
  });

  test.each([
    ['a doubtful key between two rows', 22, undefined],
    ['beyond it, up to the next row', 23, undefined],
    ['before it, the row below still answers', 21, 300],
    ['from the next row on', 24, 180],
    ['at the last row', 26, 120],
    ['beyond the last row up to a doubtful key', 27, 120],
    ['a doubtful key at the end', 28, undefined],
    ['past the end', 28.1, undefined],
    ['a doubtful key before all rows', 14, undefined],
    ['below everything', 13, undefined],
  ])('with doubtful keys: %s', (_what, key, value) => {
    const rows = [
      [16, 570],
      [20, 300],
      [24, 180],
      [26, 120],
    ] as const;
    expect(lookUp(chart(rows, [14, 22, 28]), key)).toBe(value);
  });

  test('a key that is a row and doubtful has no answer', () => {
    expect(lookUp(chart([[20, 300]], [20]), 20)).toBeUndefined();
  });

  test('no rows, no answer', () => {
    expect(lookUp(chart([]), 20)).toBeUndefined();
    expect(lookUp(chart([], [20]), 20)).toBeUndefined();
  });
});

describe('selectors', () => {
  const scene = { method: 'manual', chemistry: 'standard', bath: 'developer', product: 'GX', line: 'M1' };
  test('an empty one selects everything', () => {
    expect(selects({}, scene)).toBe(true);
    expect(selects({}, {})).toBe(true);
  });

  test.each(['method', 'chemistry', 'bath', 'product', 'line'] as const)('by %s', (field) => {
    expect(selects({ [field]: ['other', scene[field]] }, scene)).toBe(true);
    expect(selects({ [field]: ['other'] }, scene)).toBe(false);
    expect(selects({ [field]: [] }, scene)).toBe(false);
    // What is not known is not what was asked for.
    expect(selects({ [field]: [scene[field]] }, { ...scene, [field]: undefined })).toBe(false);
  });

  test('every field must fit', () => {
    expect(selects({ method: ['manual'], line: ['M1'] }, scene)).toBe(true);
    expect(selects({ method: ['manual'], line: ['M2'] }, scene)).toBe(false);
  });
});
