import { describe, expect, test } from '@jest/globals';
import type { Finding } from '../../src/engine/finding.js';
import { chainOn, hashOf } from '../../src/findings/audit.js';
import { reconcile, type StoredFinding } from '../../src/findings/reconcile.js';
import { snapshotOf, Traces } from '../../src/findings/traces.js';
import { PackBook } from '../../src/packs/book.js';
import { shipped } from '../scenarios/stage.js';

const citation = { text: 'common practice, no source', read: 'practice' } as const;

function finding(id: string, also: Partial<Finding> = {}): Finding {
  return {
    id,
    rule: 'common/wedge/strip-off',
    pack: 'common/wedge',
    packVersion: '1',
    kind: 'check',
    title: 'Strip off',
    topic: 'line:M1',
    severity: 'warning',
    state: 'open',
    openedAt: 1000,
    touchedAt: 1000,
    message: '3 lighter',
    facts: {},
    chain: [],
    anchor: null,
    evidence: [],
    occurrences: 1,
    films: 0,
    said: [{ at: 1000, message: '3 lighter' }],
    citation,
    ...also,
  };
}
const stored = (detail: Finding, revision = 1, state: string = detail.state): StoredFinding => ({
  id: detail.id,
  site: 'north',
  state,
  revision,
  detail,
});
const byId = <T extends { id: string }>(...list: T[]) => new Map(list.map((one) => [one.id, one]));
const kinds = (changes: ReturnType<typeof reconcile>) =>
  changes.map(({ kind, revision, finding: { id } }) => [id, kind, revision]);

describe('reconciliation', () => {
  test('opens, changes, closes, and leaves alone what is the same however its fields are ordered', () => {
    const same = finding('same', { line: undefined });
    const said = byId(
      finding('b-new', { openedAt: 5 }),
      finding('a-new', { openedAt: 5 }),
      finding('worse', { severity: 'law' }),
      finding('over', { state: 'cleared', closedAt: 2000 }),
      same,
    );
    const before = byId(
      stored(finding('worse'), 4),
      stored(finding('over'), 2),
      stored(JSON.parse(JSON.stringify(Object.fromEntries(Object.entries(same).reverse()))) as Finding, 9),
    );
    expect(kinds(reconcile(said, before, false))).toEqual([
      ['a-new', 'opened', 1],
      ['b-new', 'opened', 1],
      ['over', 'closed', 3],
      ['worse', 'changed', 5],
    ]);
  });

  test('withdraws what a complete answer lacks, and only that once; what comes back is reinstated', () => {
    const before = byId(stored(finding('x'), 2), stored(finding('y'), 3, 'withdrawn'), stored(finding('z')));
    expect(kinds(reconcile(byId(finding('z')), before, true))).toEqual([['x', 'withdrawn', 3]]);
    expect(reconcile(byId(finding('z')), before, false)).toEqual([]);
    expect(kinds(reconcile(new Map(), before, false, ['x', 'y', 'never']))).toEqual([['x', 'withdrawn', 3]]);
    expect(kinds(reconcile(byId(finding('y'), finding('x'), finding('z')), before, true))).toEqual([
      ['y', 'reinstated', 4],
    ]);
  });

  test('a change is a copy: what the fold does next does not reach it', () => {
    const live = finding('live');
    const [change] = reconcile(byId(live), new Map(), false);
    live.message = 'changed later';
    live.said.push({ at: 2000, message: 'changed later' });
    expect(change?.finding).toMatchObject({ message: '3 lighter', said: [{ at: 1000, message: '3 lighter' }] });
    expect(change?.touched).toBe(1000);
  });
});

describe('the audit chain', () => {
  test('goes on from its end, and no part of a row can change without its hash', () => {
    const changes = reconcile(byId(finding('a'), finding('b', { openedAt: 2000 })), new Map(), false);
    const rows = chainOn({ seq: 7, hash: 'end' }, 'north', changes, 'live', 5000);
    expect(rows.map(({ seq, previous_hash }) => [seq, previous_hash])).toEqual([
      [8, 'end'],
      [9, rows[0]?.hash],
    ]);
    const [row] = rows;
    if (row === undefined) throw new Error('no row');
    expect(hashOf(JSON.parse(JSON.stringify(row)) as typeof row)).toBe(row.hash);
    const tampered = [
      { site: 'south' },
      { seq: 9 },
      { finding: 'b' },
      { revision: 2 },
      { change: 'closed' as const },
      { cause: 'late' as const },
      { at: 5001 },
      { content: { ...row.content, message: '2 lighter' } },
      { previous_hash: '' },
    ];
    for (const change of tampered) expect(hashOf({ ...row, ...change })).not.toBe(row.hash);
  });
});

describe('traces', () => {
  const check = [...shipped.packs].flatMap(({ rules }) => rules).find(({ kind }) => kind === 'check');
  const one = finding('t', { rule: check?.id ?? '', facts: { 'wedge.steps': 3 } });

  test('the snapshot has the facts and each ladder under the name of its limit', () => {
    const verdict = (limit: string, bound: number) =>
      ({
        limit,
        pack: 'p',
        version: '1.0.0',
        layer: 'practice',
        severity: 'warning',
        side: 'max',
        bound,
        text: '',
        verdict: 'met',
        citation,
      }) as const;
    const chain = [verdict('wedge-steps', 2), verdict('film-age', 3), verdict('wedge-steps', 4)];
    expect(snapshotOf({ ...one, chain })).toEqual({
      'wedge.steps': 3,
      'limit:wedge-steps': [chain[0], chain[2]],
      'limit:film-age': [chain[1]],
    });
  });

  test('a disagreement keeps the finding, is counted and told, and in strict mode thrown', async () => {
    const told: string[] = [];
    const evaluate = async () => ({ fired: false, tree: { result: false } });
    const traces = new Traces({ evaluate, warn: (message) => told.push(message) });
    expect(await traces.of(one, shipped)).toEqual({ tree: { result: false }, agree: false });
    expect(traces.counters).toEqual({ compared: 1, disagreed: 1 });
    expect(told[0]).toContain(one.rule);
    await expect(new Traces({ evaluate, strict: true }).of(one, shipped)).rejects.toThrow('disagree');
  });

  test('an evaluator that fails is a disagreement too; duties and unknown rules have no trace', async () => {
    const traces = new Traces({ evaluate: () => Promise.reject(new Error('no such operator')) });
    expect(await traces.of(one, shipped)).toEqual({ tree: { error: 'no such operator' }, agree: false });
    const duty = shipped.packs.flatMap(({ rules }) => rules).find(({ kind }) => kind === 'duty');
    expect(await traces.of(finding('d', { rule: duty?.id ?? '' }), shipped)).toBeUndefined();
    expect(await traces.of(one, new PackBook([]))).toBeUndefined();
    expect(traces.counters.compared).toBe(1);
  });

  test('of the conditions that did not hold, those of one step in so many are compared', async () => {
    const rule = shipped.rule(one.rule);
    if (rule?.kind !== 'check') throw new Error('no check');
    const told: string[] = [];
    const traces = new Traces({
      sample: 3,
      warn: (message) => told.push(message),
      evaluate: async (_condition, { fires }) => ({ fired: fires, tree: {} }),
    });
    const probes = Array.from({ length: 6 }, () => traces.probe());
    expect(probes.map((probe) => probe !== undefined)).toEqual([false, false, true, false, false, true]);
    for (const fires of [false, true]) probes[2]?.({ check: rule, snapshot: { fires }, result: false });
    probes[5]?.({ check: rule, snapshot: { fires: true }, result: true });
    probes[5]?.({ check: rule, snapshot: {}, result: undefined });
    await traces.compareSilent();
    await traces.compareSilent();
    expect(traces.counters).toEqual({ compared: 2, disagreed: 1 });
    expect(told).toEqual([expect.stringContaining('which was silent')]);
  });
});
