import { diffWords } from 'diff';
import type { Finding } from '../engine/finding.js';
import type { ExpectedFinding } from '../packs/model.js';
import { compareFields, sayInstant, type ComparedField, type TestScene } from './expectation.js';
import { pairUp } from './matching.js';

/** Where what a test found differs from what it expects: plain data, and the same as lines to read. */
export interface Difference {
  /** Expected findings that nothing fits, each beside the finding that comes nearest, if one is left. */
  readonly unmet: readonly {
    readonly number: number;
    readonly fields: readonly ComparedField[];
    readonly isFound: boolean;
  }[];
  /** Findings that nothing expects, as a person reads them. */
  readonly unexpected: readonly string[];
}

/** Pairs findings with expectations; undefined when all fit, one to one. */
export function differenceOf(
  found: readonly Finding[],
  expected: readonly ExpectedFinding[],
  scene: TestScene,
): Difference | undefined {
  const inOrder = [...found].sort((a, b) => a.openedAt - b.openedAt);
  const compare = (want: ExpectedFinding, finding: Finding) => compareFields(want, finding, scene);
  const fits = (want: ExpectedFinding, finding: Finding) => compare(want, finding).every(({ isMet }) => isMet);
  // Who says more chooses first: where not all can be met, what is told as unmet is the looser one.
  const wanted = expected
    .map((want, index) => ({ want, number: index + 1 }))
    .sort((a, b) => Object.keys(b.want).length - Object.keys(a.want).length);
  const pairs = pairUp(wanted.map(({ want }) => inOrder.flatMap((one, index) => (fits(want, one) ? [index] : []))));
  const unfit = wanted.filter((_, index) => pairs[index] === undefined);
  const left = inOrder.filter((_, index) => !pairs.includes(index));
  const take = (finding: Finding | undefined) => finding !== undefined && left.splice(left.indexOf(finding), 1);
  const unmet = unfit
    .sort((a, b) => a.number - b.number)
    .map(({ want, number }) => {
      const near = left
        .map((finding) => ({ finding, met: compare(want, finding).filter(({ isMet }) => isMet).length }))
        .reduce<{ finding?: Finding; met: number }>((best, one) => (one.met > best.met ? one : best), { met: -1 });
      take(near.finding);
      const fields = near.finding === undefined ? named(want, scene) : compare(want, near.finding);
      return { number, fields, isFound: near.finding !== undefined };
    });
  if (unmet.length === 0 && left.length === 0) return undefined;
  return { unmet, unexpected: left.map((finding) => sayFinding(finding, scene)) };
}

/** What an expectation names, where no finding is left to hold it against. */
function named(want: ExpectedFinding, scene: TestScene): ComparedField[] {
  const { values, ...rest } = { rule: scene.rule, ...want };
  const told = Object.entries(values ?? {}).map(
    ([name, value]) => [name, typeof value === 'object' ? `${value.value} ${value.unit}` : value] as const,
  );
  return [...Object.entries(rest), ...told].map(([field, value]) => ({
    field,
    expected: String(value),
    found: '',
    isMet: false,
  }));
}

function sayFinding({ rule, severity, state, openedAt, message }: Finding, { zone }: TestScene): string {
  return `${severity} (${state}) ${sayInstant(openedAt, zone)} ${rule}: ${message}`;
}

/**
 * As lines: for each expected finding its fields in columns, "!" before those that differ; then what nothing expects.
 */
export function difference({ unmet, unexpected }: Difference): string {
  const lines = unmet.flatMap(({ number, fields, isFound }) => [
    ...table(number, fields, isFound),
    ...fields.filter(({ field, isMet }) => field === 'says' && !isMet && isFound).map(inWords),
  ]);
  for (const each of unexpected) lines.push(`not expected: ${each}`);
  return lines.join('\n');
}

const widest = 60;

function table(number: number, fields: readonly ComparedField[], isFound: boolean): string[] {
  const head = {
    field: `finding ${number}`,
    expected: 'expected',
    found: isFound ? 'found' : 'not found',
    isMet: true,
  };
  const rows = [head, ...fields];
  const names = Math.max(...rows.map(({ field }) => field.length));
  const wants = Math.min(widest, Math.max(...rows.map(({ expected }) => expected.length)));
  return rows.map(({ field, expected, found, isMet }) =>
    `${isMet || !isFound ? ' ' : '!'} ${field.padEnd(names)}  ${expected.padEnd(wants)}  ${found}`.trimEnd(),
  );
}

/** Where two sentences part: [-expected-] {+found+}. What the finding says before and after it is no difference. */
function inWords({ expected, found }: ComparedField): string {
  const parts = diffWords(expected, found);
  const said = parts.map(({ value, added, removed }, index) => {
    if (added && (index === 0 || index === parts.length - 1)) return '…';
    return added ? `{+${value}+}` : removed ? `[-${value}-]` : value;
  });
  return `  words: ${said.join('')}`;
}
