import { expect, test } from '@jest/globals';
import { GroupCommit } from '../../src/ledger/group-commit.js';

const turn = () => new Promise((resolve) => setImmediate(resolve));

test('what comes while a commit runs is committed together, within the cap, in its order', async () => {
  const commits: number[][][] = [];
  const queue = new GroupCommit<number, string>(async (groups) => {
    commits.push(groups.map((group) => [...group]));
    await turn();
    return groups.map((group) => group.join('+'));
  }, 4);
  const answers = await Promise.all(
    [[1], [2, 3], [4], [5, 6], [7, 8, 9, 10, 11], [12]].map((group) => queue.add(group)),
  );
  expect(answers).toEqual(['1', '2+3', '4', '5+6', '7+8+9+10+11', '12']);
  // The first waits for nobody; the cap is four, but a caller's own events are never torn apart.
  expect(commits).toEqual([[[1]], [[2, 3], [4]], [[5, 6]], [[7, 8, 9, 10, 11]], [[12]]]);
  expect(queue.idle).toBe(true);
});

test('an Error rejects its own caller; a commit that throws rejects all of its callers, and the next one runs', async () => {
  let fail = false;
  const queue = new GroupCommit<number, string>(async (groups) => {
    await turn();
    if (fail) {
      fail = false;
      throw new Error('lost');
    }
    return groups.map(([first]) => (first === 2 ? new Error('two') : String(first)));
  });
  const first = await Promise.allSettled([queue.add([1]), queue.add([2]), queue.add([3])]);
  expect(first.map((one) => (one.status === 'fulfilled' ? one.value : String(one.reason)))).toEqual([
    '1',
    'Error: two',
    '3',
  ]);
  fail = true;
  const second = await Promise.allSettled([queue.add([4])]);
  expect(second.map(({ status }) => status)).toEqual(['rejected']);
  expect(await queue.add([5])).toBe('5');
});
