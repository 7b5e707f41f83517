import { readdirSync } from 'node:fs';
import os from 'node:os';
import { expect, test } from '@jest/globals';
import { runDemo } from '../../src/cli/demo/run.js';
import { summary, type Answers } from '../../src/cli/demo/summary.js';
import type { ShownFinding } from '../../src/cli/demo/talk.js';
import { offices } from '../../src/cli/demo/offices.js';

const folders = (): string[] => readdirSync(os.tmpdir()).filter((name) => name.startsWith('stepwedge-demo-'));

test('the demo runs through HTTP to its summary, and leaves nothing behind', async () => {
  const before = folders();
  let printed = '';
  await runDemo({ once: true, port: 0, out: { write: (text: string) => (printed += text), columns: 90 } });
  expect(printed).toMatch(/All [\d,]{5,} events accepted and judged/);
  for (const heading of ['FINDINGS OF THE SEASON', 'THE THREE THAT MATTER MOST', 'DUE NEXT'])
    expect(printed).toContain(heading);
  const running = printed.replaceAll(/\s+/g, ' ');
  expect(running).toContain(
    'HOLD Pellquay M1, Wed 11 Feb 07:58 to 13:45. Standard (common practice in dental hygiene teaching, no source). Now clear: a strip came out within its limit.',
  );
  expect(running).toContain('Strip 3 steps lighter');
  // Sixty days are common practice's; the law's two months end later.
  expect(running).toContain(
    'CHECK Tarnsett M1, Mon 31 Aug 00:00 to Wed 2 Sep 12:10, 61 films meanwhile. A warning at first, law from Wed 2 Sep (WAC 246-225A-090). Now clear: the chemistry was changed.',
  );
  expect(running).toContain(
    'CHECK Ostermoor M1, Thu 16 Jul 11:20, 3 films. Law (Minn. R. 4732.0555). Off the board since Thu 16 Jul 13:50, when the rule was met again; on record until somebody resolves it.',
  );
  for (const severity of ['law', 'standard', 'warning', 'advice'])
    expect(printed).toMatch(new RegExp(`^  ${severity} +[a-z]`, 'm'));
  for (const { config } of offices) expect(printed).toMatch(new RegExp(`^  ${config.name} .*[a-z]`, 'm'));
  expect(printed).toMatch(/The dentist decides/);
  for (const line of printed.split('\n')) expect(line.length).toBeLessThanOrEqual(90);
  expect(printed).not.toMatch(/undefined|NaN|\[object|\p{Extended_Pictographic}/u);
  expect(folders()).toEqual(before);
}, 120_000);

test('a summary of nothing is still readable', () => {
  const nothing: Answers = {
    offices,
    findings: [],
    due: new Map(),
    boards: new Map(),
    caution: 'The dentist decides.',
  };
  const lines = summary(nothing, 80);
  expect(lines.join('\n')).toMatch(/Brackenfold +Nothing with a date\./);
  expect(lines.join('\n')).not.toMatch(/undefined|NaN/);
});

test('one film is one film, and what is open and not met again is open', () => {
  const one: ShownFinding = {
    ...{ id: 'one', site: 'tarnsett', rule: 'r', severity: 'warning', state: 'open', line: 'M1', films: 1 },
    ...{ kind: 'check', chain: [], citation: { text: 'common practice' }, message: 'one', said: [] },
    openedAt: '2026-03-02T16:00:00Z',
  };
  const text = summary({ offices, findings: [one], due: new Map(), boards: new Map(), caution: '' }, 80).join('\n');
  expect(text).toMatch(/CHECK +Tarnsett M1, Mon 2 Mar 08:00, 1 film\. Warning \(common practice\)\. Still\s+open\./);
  expect(text).toContain('THE ONE THAT MATTERS MOST');
});

test('the three are holds first, then on whose word, then by films; what was withdrawn is not counted', () => {
  const finding = (id: string, more: Partial<ShownFinding>): ShownFinding => ({
    id,
    site: 'tarnsett',
    rule: 'r',
    severity: 'warning',
    state: 'open',
    openedAt: '2026-03-02T08:00:00Z',
    line: 'M1',
    kind: 'check',
    chain: [],
    citation: { text: 'common practice' },
    message: id,
    said: [],
    films: 0,
    ...more,
  });
  const findings = [
    finding('two films', { films: 2 }),
    finding('a law', { severity: 'law' }),
    finding('nine films', { films: 9 }),
    finding('withdrawn law', { severity: 'law', state: 'withdrawn', films: 100 }),
    finding('a hold', { severity: 'standard', hold: 'line' }),
  ];
  const text = summary({ offices, findings, due: new Map(), boards: new Map(), caution: '' }, 80).join('\n');
  const order = ['a hold', 'a law', 'nine films'].map((what) => text.indexOf(`What   ${what}`));
  expect(order).toEqual([...order].sort((a, b) => a - b));
  expect(Math.min(...order)).toBeGreaterThan(0);
  expect(text).not.toMatch(/What {3}(two films|withdrawn law)/);
});
