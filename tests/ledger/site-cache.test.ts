import { expect, test } from '@jest/globals';
import { engineFold } from '../../src/ledger/fold.js';
import { SiteCache, type SiteEntry } from '../../src/ledger/site-cache.js';

function entry(version: number, bulk: number): SiteEntry {
  const state = { ...engineFold.createState(), id: 'x'.repeat(bulk) };
  return { version, state, retracted: new Set(), folded: 0, checkpointed: 0 };
}

test('states are kept as long as their share of memory holds them, the least recently used ones go first', () => {
  const cache = new SiteCache(1000, 1_000_000);
  for (const site of ['a', 'b', 'c']) cache.offer('o', site, entry(1, 100_000));
  expect(cache.size).toBe(3);
  expect(cache.memory).toBeGreaterThan(300_000);
  cache.peek('o', 'a');
  cache.offer('o', 'd', entry(1, 100_000));
  expect(cache.memory).toBeLessThanOrEqual(1_000_000);
  expect(['a', 'b', 'c', 'd'].filter((site) => cache.peek('o', site) !== undefined)).toEqual(['a', 'c', 'd']);
});

test('a state that grows takes more of it; one that never fits is not kept, and nobody is the worse for it', () => {
  const cache = new SiteCache(1000, 1_000_000);
  const growing = entry(1, 1000);
  cache.offer('o', 'a', growing);
  const before = cache.memory;
  const taken = cache.take('o', 'a', 1);
  growing.state.id = 'x'.repeat(200_000);
  growing.version = 500;
  cache.release('o', 'a', taken);
  expect(cache.memory).toBeGreaterThan(before + 200_000);
  cache.offer('o', 'b', entry(1, 2_000_000));
  expect(cache.peek('o', 'b')).toBeUndefined();
  expect(cache.peek('o', 'a')).toBe(growing);
});
