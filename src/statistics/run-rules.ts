import { isRefusal, refuse, type Answer } from '../refusal.js';
import { unfit } from './input.js';

/**
 * Run rules of control charts by name, on deviations from the centre in standard deviations. "Beyond" is strict: a point
 * on a limit is within it, and a point on the centre is on neither side.
 *
 * Sources: the Western Electric rules with Nelson's nine for a run,
 * https://numerics.net/documentation/latest/reference/numerics.net.statistics.processcontrol.controlrulesets.westernelectric ;
 * the Westgard rules, https://studylib.net/doc/7876160/westgard-system-and-rules and, for three controls,
 * https://labce.com/spg574557_westgard_multi_rule_approach_continued.aspx . Nelson's rules 3, 4, 7 and 8 are written as the
 * trade knows them; no source of them was read.
 */
const rules = {
  'beyond-3-sigma': ofLast(1, 1, 3),
  'western-electric-2-of-3': ofLast(2, 3, 2),
  'western-electric-4-of-5': ofLast(4, 5, 1),
  'western-electric-8-one-side': ofLast(8, 8, 0),
  'nelson-9-one-side': ofLast(9, 9, 0),
  'nelson-6-rising-or-falling': window(6, (last) => isSteady(last)),
  'nelson-14-alternating': window(14, (last) => isAlternating(last)),
  'nelson-15-within-1-sigma': window(15, (last) => last.every((value) => !isBeyond(Math.abs(value), 1))),
  'nelson-8-beyond-1-sigma': window(8, (last) => last.every((value) => isBeyond(Math.abs(value), 1))),
  'westgard-1-2s': ofLast(1, 1, 2),
  'westgard-2-2s': ofLast(2, 2, 2),
  'westgard-4-1s': ofLast(4, 4, 1),
  'westgard-10x': ofLast(10, 10, 0),
  'westgard-2-of-3-2s': ofLast(2, 3, 2),
  'westgard-3-1s': ofLast(3, 3, 1),
  'westgard-6x': ofLast(6, 6, 0),
} satisfies Record<string, Detector>;

export type RunRule = keyof typeof rules;
export const runRules = Object.keys(rules) as readonly RunRule[];

/** Which rules belong together. Nelson's second and third of the usual four are Western Electric's. */
export const ruleSets = {
  westernElectric: [
    'beyond-3-sigma',
    'western-electric-2-of-3',
    'western-electric-4-of-5',
    'western-electric-8-one-side',
  ],
  nelson: [
    'beyond-3-sigma',
    'nelson-9-one-side',
    'nelson-6-rising-or-falling',
    'nelson-14-alternating',
    'western-electric-2-of-3',
    'western-electric-4-of-5',
    'nelson-15-within-1-sigma',
    'nelson-8-beyond-1-sigma',
  ],
  /** `westgard-1-2s` is a warning only; R-4s is of one run: `differsWithinRun`. */
  westgard: ['westgard-1-2s', 'beyond-3-sigma', 'westgard-2-2s', 'westgard-4-1s', 'westgard-10x'],
  westgardOfThree: ['beyond-3-sigma', 'westgard-2-of-3-2s', 'westgard-3-1s', 'westgard-6x'],
} as const satisfies Record<string, readonly RunRule[]>;

export interface Signal {
  readonly rule: RunRule;
  /** Index of the reading with which the pattern is complete. */
  readonly at: number;
}

/**
 * Where readings complete a pattern, in order of the readings and then of `names`.
 * @param deviations from the centre in standard deviations, oldest first; none gives no signal
 */
export function signalsOf(deviations: readonly number[], names: readonly RunRule[]): Answer<readonly Signal[]> {
  const wrong = unfit(deviations, 'deviations', 0);
  if (wrong !== undefined) return wrong;
  return deviations.flatMap((_, at) => completed(deviations.slice(0, at + 1), names).map((rule) => ({ rule, at })));
}

/** The rules whose pattern is complete with the last of these deviations. */
export function completed(deviations: readonly number[], names: readonly RunRule[]): readonly RunRule[] {
  return names.filter((rule) => rules[rule](deviations));
}

/** Westgard's R-4s: of the controls of one and the same run one lies beyond 2 above and another beyond 2 below. */
export function differsWithinRun(controls: readonly number[]): Answer<boolean> {
  const wrong = unfit(controls, 'controls', 0);
  if (isRefusal(wrong)) return wrong;
  if (controls.length < 2) return refuse('too-few', 'controls', 'One control differs from no other; it takes two.');
  return controls.some((value) => isBeyond(value, 2)) && controls.some((value) => isBeyond(-value, 2));
}

/** Whether the pattern is complete with the last of these. */
type Detector = (deviations: readonly number[]) => boolean;

function isBeyond(value: number, sigmas: number): boolean {
  return value > sigmas + 1e-9 * Math.max(1, sigmas);
}

/** At least `count` of the last `of`, the last among them, lie beyond so many standard deviations on one side. */
function ofLast(count: number, of: number, sigmas: number): Detector {
  return (deviations) => {
    const last = deviations.slice(-of);
    return [1, -1].some(
      (side) =>
        isBeyond(side * (deviations.at(-1) ?? 0), sigmas) &&
        last.filter((value) => isBeyond(side * value, sigmas)).length >= count,
    );
  };
}

function window(size: number, holds: (last: readonly number[]) => boolean): Detector {
  return (deviations) => deviations.length >= size && holds(deviations.slice(-size));
}

function isSteady(values: readonly number[]): boolean {
  const steps = stepsOf(values);
  return steps.every((step) => step > 0) || steps.every((step) => step < 0);
}

function isAlternating(values: readonly number[]): boolean {
  const steps = stepsOf(values);
  return steps.every((step, index) => index === 0 || step * (steps[index - 1] ?? 0) < 0);
}

const stepsOf = (values: readonly number[]) => values.slice(1).map((value, index) => value - (values[index] ?? value));
