import { expect, test } from '@jest/globals';
import type { OverloadError } from '../../src/ledger/waiting.js';
import { Waiting } from '../../src/ledger/waiting.js';

function refusal(work: () => unknown): OverloadError {
  try {
    work();
  } catch (error) {
    return error as OverloadError;
  }
  throw new Error('It was let in.');
}

test('one organisation has its share, all together theirs; what is answered makes room', () => {
  const waiting = new Waiting({ all: 10, ofOne: 6 });
  const leaveA = waiting.enter('a', 4);
  expect(refusal(() => waiting.enter('a', 3)).whose).toBe('organisation');
  const leaveB = waiting.enter('b', 6);
  expect(waiting.events).toBe(10);
  expect(refusal(() => waiting.enter('c', 1)).whose).toBe('process');
  leaveA();
  waiting.enter('c', 4)();
  expect(refusal(() => waiting.enter('b', 1)).whose).toBe('organisation');
  leaveB();
  expect(waiting.events).toBe(0);
});

test('a batch above the cap is let in when nothing else waits', () => {
  const waiting = new Waiting({ all: 10, ofOne: 5 });
  const leave = waiting.enter('a', 50);
  expect(refusal(() => waiting.enter('a', 1)).whose).toBe('organisation');
  expect(refusal(() => waiting.enter('b', 1)).whose).toBe('process');
  leave();
  waiting.enter('b', 1)();
});

test('the pause follows the rate of late, within 1 and 30 seconds', () => {
  let now = 0;
  const waiting = new Waiting({ all: 4000, ofOne: 4000 }, () => now);
  const first = waiting.enter('a', 4000);
  // Nothing was answered yet: the longest.
  expect(refusal(() => waiting.enter('a', 1)).retryAfter).toBe(30);
  first();
  for (let second = 0; second < 60; second++) {
    now += 1000;
    waiting.enter('a', 400)();
  }
  waiting.enter('a', 4000);
  // 400 a second: 2000 take some five seconds.
  const pause = refusal(() => waiting.enter('a', 1)).retryAfter;
  expect(pause).toBeGreaterThanOrEqual(4);
  expect(pause).toBeLessThanOrEqual(6);
  now += 120_000;
  expect(refusal(() => waiting.enter('a', 1)).retryAfter).toBe(30);
});
