import { expect, test } from '@jest/globals';
import { candidates } from '../../src/packs/candidates.js';
import { readPack } from '../../src/packs/reader/index.js';

const head = (id: string) =>
  `pack: ${id}\nversion: 1.0.0\ntitle: T\nauthority: A\nlayer: practice\ncitation: { text: c, read: practice }\n`;
const limit = (name: string) =>
  `limits:\n  - { id: ${name}, of: wedge.steps, max: 2, severity: warning }\n  - { id: times, of: run.developer.time, min: 1 s, severity: warning }\n`;
const chart = `charts:
  - { id: own/chart, title: C, answers: times, by: run.developer.temperature, gives: run.developer.time, units: { by: Cel, gives: s }, rows: [[20, 300]] }
`;
const uses = `checks:
  - id: off
    title: Off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: above, value: { limit: strip } }
    say: Off
    tests: [{ name: a, kind: fires, events: [], expect: [{}] }, { name: b, kind: silent, events: [] }, { name: c, kind: boundary, events: [], expect: [] }]
`;
const present = [
  readPack(`${head('own/limits')}${limit('strip')}`, 'limits.yaml'),
  readPack(`${head('own/rules')}${uses}`, 'rules.yaml'),
  readPack(`${head('own/charts')}${chart}`, 'charts.yaml'),
];
const read = (...texts: string[]) =>
  candidates(
    texts.map((text, index) => ({ file: `new/${index}`, text })),
    present,
  );

test('the present packs of the test are sound together', () => {
  expect(present.flatMap(({ diagnostics }) => diagnostics)).toEqual([]);
});

test('a pack stands in the place of the one with its id', () => {
  const { sound, packs, beside } = read(`${head('own/charts')}${chart}`);
  expect([sound, packs.map(({ id }) => id), beside.map(({ id }) => id)]).toEqual([
    true,
    ['own/charts'],
    ['own/limits', 'own/rules'],
  ]);
});

test('what a present pack leans on must not go', () => {
  const { sound, packs, diagnostics } = read(`${head('own/limits')}${limit('strips')}`);
  expect([sound, packs.length]).toEqual([false, 1]);
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  expect(errors).toMatchObject([{ file: 'rules.yaml', code: 'unknown-limit', nearest: 'strips' }]);
});

test('two of one id are told; so are packs that need each other', () => {
  expect(read(head('own/a'), head('own/a')).diagnostics).toMatchObject([{ file: 'new/1', code: 'duplicate-id' }]);
  expect(read(`${head('own/rules')}${uses}`, `${head('own/limits')}${limit('strip')}`)).toMatchObject({ sound: true });
});

test('a text with faults is told its own, and not that its place is taken', () => {
  const { sound, read: each, diagnostics } = read(`${head('own/charts').replace('practice', 'practise')}${chart}`);
  expect([sound, each]).toEqual([false, [undefined]]);
  expect(diagnostics).toMatchObject([{ file: 'new/0', code: 'unknown-word' }]);
  expect(diagnostics[0]?.shown).toContain('> 5 | layer: practise');
});
