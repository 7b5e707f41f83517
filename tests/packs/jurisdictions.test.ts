import { describe, expect, test } from '@jest/globals';
import { PackBook } from '../../src/packs/book.js';
import { mistaken, unspoken } from '../../src/packs/jurisdictions.js';
import type { Pack } from '../../src/packs/model.js';

const pack = (id: string, more: Partial<Pack> = {}): Pack => ({
  ...{ id, version: '1', title: id, authority: 'a test', layer: 'state' },
  ...{ limits: [], charts: [], rules: [], notKnown: [] },
  ...more,
});
const book = new PackBook([
  pack('common'),
  pack('us/federal', { jurisdiction: 'us' }),
  pack('us/wa', { jurisdiction: 'us-wa' }),
  pack('us/nm', { jurisdiction: 'us-nm', from: '2026-07-01' }),
  pack('us/wa/quill', { jurisdiction: 'us-wa-quill' }),
  pack('group', { jurisdiction: 'hillside-group' }),
]);
const at = Date.parse('2026-03-11T12:00:00Z');
const ask = (...jurisdictions: string[]) => unspoken(book, { zone: 'America/Denver', jurisdictions }, at);

describe('jurisdictions that a person mistyped', () => {
  // ISO 3166-2:US has no WZ; a state without a pack is none the less a state, however near its letters are.
  test.each([
    ['us-wz', 'us-wa'],
    ['su-wa', 'us-wa'],
    ['usa', 'us'],
    ['us-washington', undefined],
    ['wa', 'us-wa'],
    ['us-wz-king', undefined],
    ['ca-bv', 'ca-bc'],
    ['us-wa-quil', 'us-wa-quill'],
    ['us-wa-quilll', 'us-wa-quill'],
    ['hillside-grup', 'hillside-group'],
  ])('%s is none', (given, near) => {
    const found = mistaken(given, book.jurisdictions);
    expect(found).toBeDefined();
    if (near !== undefined) expect(found?.nearest).toBe(near);
  });

  test.each([
    'us',
    'us-wa',
    'us-nm',
    'us-ca',
    'us-va',
    'us-dc',
    'us-pr',
    'ca',
    'ca-bc',
    'gb',
    'eu',
    'us-wa-king',
    'us-wa-quill',
    'us-wa-lane-north',
    'hillside-group',
  ])('%s may be meant', (given) => expect(mistaken(given, book.jurisdictions)).toBeUndefined());
});

describe('jurisdictions that no pack in force speaks of', () => {
  test('are told, with the nearest name only where the id cannot be meant', () => {
    expect(ask('us', 'us-wa')).toEqual([]);
    expect(ask('us', 'us-ca')).toEqual([
      { jurisdiction: 'us-ca', text: 'No pack in force here speaks of us-ca: nothing of its law is checked.' },
    ]);
    expect(ask('us', 'us-wz')).toEqual([
      {
        jurisdiction: 'us-wz',
        nearest: 'us-wa',
        text: 'No pack in force here speaks of us-wz; did you mean us-wa? Nothing of its law is checked.',
      },
    ]);
  });

  test('also when the pack is in force at another time', () => {
    expect(ask('us', 'us-nm')).toMatchObject([
      { jurisdiction: 'us-nm', text: expect.stringContaining('another time') },
    ]);
    const later = Date.parse('2026-07-01T12:00:00Z');
    expect(unspoken(book, { zone: 'America/Denver', jurisdictions: ['us', 'us-nm'] }, later)).toEqual([]);
  });

  test('and a place without the one it lies in, whose law is not checked either', () => {
    expect(ask('us-wa')).toEqual([
      { jurisdiction: 'us', text: 'us-wa lies in us, which is not listed: nothing of the law of us is checked.' },
    ]);
    expect(ask('us-wa-quill').map(({ jurisdiction }) => jurisdiction)).toEqual(['us', 'us-wa']);
  });
});

test('invented lists of jurisdictions leave nothing behind: they share the rules of what is known', () => {
  const first = book.at(at, { zone: 'UTC', jurisdictions: ['us'] });
  for (let i = 0; i < 10_000; i++)
    expect(book.at(at, { zone: 'UTC', jurisdictions: ['us', `us-invented-${i}`] })).toBe(first);
  expect(book.at(at, { zone: 'UTC', jurisdictions: ['us-wa', 'us'] })).toBe(
    book.at(at, { zone: 'UTC', jurisdictions: ['us', 'us-wa'] }),
  );
});
