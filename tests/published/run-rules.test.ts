import { describe, expect, test } from '@jest/globals';
import { differsWithinRun, signalsOf, type RunRule } from '../../src/statistics/run-rules.js';
import { answered } from './answer.js';

const at = (deviations: readonly number[], rule: RunRule) =>
  answered(signalsOf(deviations, [rule])).map((signal) => signal.at + 1);
const repeat = (value: number, times: number) => Array.from({ length: times }, () => value);

describe('Western Electric and Nelson (numerics.net, library reference pages, read)', () => {
  test('one beyond three, strictly', () => {
    expect(at([3, -3, 3.01, -3.01], 'beyond-3-sigma')).toEqual([3, 4]);
  });
  test('two of three beyond two on one side', () => {
    expect(at([2.1, 0, 2.1], 'western-electric-2-of-3')).toEqual([3]);
    expect(at([2.1, 0, -2.1], 'western-electric-2-of-3')).toEqual([]);
    expect(at([2, 2, 2], 'western-electric-2-of-3')).toEqual([]);
  });
  test('four of five beyond one on one side', () => {
    expect(at([1.1, 1.1, 0, 1.1, 1.1], 'western-electric-4-of-5')).toEqual([5]);
    expect(at([1, 1, 1, 1, 1], 'western-electric-4-of-5')).toEqual([]);
  });
  test('eight on one side; Nelson asks for nine', () => {
    expect(at(repeat(0.1, 8), 'western-electric-8-one-side')).toEqual([8]);
    expect(at(repeat(-0.1, 9), 'nelson-9-one-side')).toEqual([9]);
    expect(at([...repeat(0.1, 7), 0], 'western-electric-8-one-side')).toEqual([]);
  });
});

describe('Westgard (studylib.net/doc/7876160, read; its flow chart mislabels the rule of four as 42S)', () => {
  test('1-2s, 2-2s, 4-1s, 10x', () => {
    expect(at([2, 2.1], 'westgard-1-2s')).toEqual([2]);
    expect(at([2.1, 2.1], 'westgard-2-2s')).toEqual([2]);
    expect(at([2.1, -2.1], 'westgard-2-2s')).toEqual([]);
    expect(at(repeat(1.1, 4), 'westgard-4-1s')).toEqual([4]);
    expect(at(repeat(0.1, 10), 'westgard-10x')).toEqual([10]);
  });
  test('R-4s within one run only: one beyond +2 and another beyond -2', () => {
    expect(answered(differsWithinRun([2.1, -2.1]))).toBe(true);
    expect(answered(differsWithinRun([4.1, 0]))).toBe(false);
  });
  test('of three controls (labce.com, read): 2 of 3 beyond 2s, 3-1s, 6x', () => {
    expect(at([2.1, 0, 2.1], 'westgard-2-of-3-2s')).toEqual([3]);
    expect(at(repeat(1.1, 3), 'westgard-3-1s')).toEqual([3]);
    expect(at(repeat(0.1, 6), 'westgard-6x')).toEqual([6]);
  });
});
