import { describe, expect, test } from '@jest/globals';
import { causesAt, type CausesAnswer } from '../../src/engine/consult/causes.js';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { readPack } from '../../src/packs/reader/index.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { answered } from '../published/answer.js';
import { ordinaryChart } from '../trials/ordinary-office.js';
import { simulate, type Case } from './simulated.js';

const { packs } = await loadPacks('rules');
const { pack: wall } = readPack(ordinaryChart.replace('time: 0.2 s', 'time: 0.25 s'), 'office.yaml');
const book = new PackBook([...packs, ...(wall === undefined ? [] : [wall])]);
/** The first ten thousand were looked at when the weight of evidence was chosen. */
const heldOut = 10_000;
const cases = process.env['STEPWEDGE_LONG'] === '1' ? 5000 : 600;

interface Judged extends Case {
  readonly answer: CausesAnswer;
}
const judged: Judged[] = Array.from({ length: cases }, (_, n) => simulate(heldOut + n)).flatMap((one) => {
  if (one === undefined) return [];
  const { state } = foldSite(one.events, book);
  const at = state.at + 3_600_000;
  const found = causesAt(state, at, book, { signs: one.signs as never, film: 'F-1', extent: one.extent });
  if (found === undefined) throw new Error('There is no site.');
  return [{ ...one, answer: answered(found) }];
});

/** The place of the planted cause, by signs alone or with the record. */
function placeOf({ answer, cause }: Judged, by: 'before' | 'probability'): number {
  const sorted = [...answer.causes].sort((a, b) => b[by] - a[by]);
  const place = sorted.findIndex((one) => one.cause.id === cause);
  return place < 0 ? Infinity : place + 1;
}
const share = (top: number, by: 'before' | 'probability') =>
  judged.filter((one) => placeOf(one, by) <= top).length / judged.length;

const pairs = (by: 'before' | 'probability') =>
  judged.flatMap(({ answer, cause }) => answer.causes.map((one) => [one[by], one.cause.id === cause ? 1 : 0] as const));
const brier = (by: 'before' | 'probability') => {
  const all = pairs(by);
  return all.reduce((sum, [said, was]) => sum + (said - was) ** 2, 0) / all.length;
};

describe('simulated records, in which a cause was planted', () => {
  const bins = [0, 0.05, 0.15, 0.3, 0.5, 0.7, 1.01];
  const table = bins.slice(0, -1).map((from, n) => {
    const own = pairs('probability').filter(([said]) => said >= from && said < (bins[n + 1] ?? 1));
    const said = own.reduce((sum, [each]) => sum + each, 0) / own.length;
    const was = own.reduce((sum, [, each]) => sum + each, 0) / own.length;
    return { from, count: own.length, said, was };
  });
  console.log(
    [
      `${judged.length} films. Planted cause first: ${(100 * share(1, 'before')).toFixed(0)} % by signs alone, ${(100 * share(1, 'probability')).toFixed(0)} % with the record.`,
      `Among three: ${(100 * share(3, 'before')).toFixed(0)} %, ${(100 * share(3, 'probability')).toFixed(0)} %. Brier score: ${brier('before').toFixed(4)}, ${brier('probability').toFixed(4)}.`,
      ...table.map(
        ({ from, count, said, was }) =>
          `said from ${from.toFixed(2)}: ${count} times, on average ${said.toFixed(2)}; it was so in ${was.toFixed(2)}`,
      ),
    ].join('\n'),
  );

  test('the record brings the planted cause to the first place in at least fifteen films more of a hundred', () => {
    expect(share(1, 'probability') - share(1, 'before')).toBeGreaterThanOrEqual(0.15);
    expect(share(3, 'probability')).toBeGreaterThan(0.85);
  });

  test('and makes the probabilities better, by their Brier score', () => {
    expect(brier('probability')).toBeLessThan(0.85 * brier('before'));
  });

  test('what is said to be likely mostly is, and what is said to be unlikely mostly is not', () => {
    const likely = table.filter(({ from }) => from >= 0.7);
    expect(likely.every(({ was }) => was > 0.6)).toBe(true);
    expect(table[0]?.was).toBeLessThan(0.05);
    const rises = table.filter(({ count }) => count >= 20).map(({ was }) => was);
    expect(rises).toEqual([...rises].sort((a, b) => a - b));
  });
});
