import { describe, expect, test } from '@jest/globals';
import { formatDiagnostic, readPack } from '../../src/packs/reader/index.js';

const head = `pack: office/z
version: 1.0.0
title: T
authority: nobody
layer: clinic
citation: { text: house rule, read: practice }
limits:
`;
const limit = (rest: string) => `${head}  - { id: own, severity: warning, ${rest} }\n`;
const faults = (text: string) => readPack(text, 'own.yaml').diagnostics;
const told = (text: string) => faults(text).map(({ code, message }) => `${code} ${message}`);

describe('the place of a fault', () => {
  const wrong = limit('of: run.developer.tme, max: 5 min');

  test('a mark of byte order takes no column, and is not in the frame', () => {
    const text = wrong.replace('pack:', 'packk:');
    const place = (all: ReturnType<typeof faults>) =>
      all.map(({ line, column, endLine, endColumn, code }) => [line, column, endLine, endColumn, code]);
    expect(place(faults(text)).length).toBeGreaterThan(1);
    expect(place(faults(`\ufeff${text}`))).toEqual(place(faults(text)));
    for (const [index, each] of faults(text).entries()) {
      const marked = faults(`\ufeff${text}`)[index];
      if (marked === undefined) throw new Error('no fault');
      expect(formatDiagnostic(marked, `\ufeff${text}`)).toBe(formatDiagnostic(each, text));
    }
  });

  test.each(['\u2028', '\u2029', '\r'])('%j in a text moves no line of the frame', (odd) => {
    const text = wrong.replace('authority: nobody', `authority: "no${odd}body"`);
    const [first] = faults(text).filter(({ code }) => code === 'unknown-fact');
    if (first === undefined) throw new Error('no fault');
    expect(first.line).toBe(8);
    const frame = formatDiagnostic(first, text).split('\n').slice(2);
    expect(frame.find((row) => row.startsWith('>'))).toContain('run.developer.tme');
  });

  test('of lines that end with CR LF as of those with LF', () => {
    const crlf = wrong.replaceAll('\n', '\r\n');
    const [a, b] = [faults(wrong)[0], faults(crlf)[0]];
    if (a === undefined || b === undefined) throw new Error('no fault');
    expect(formatDiagnostic(b, crlf)).toBe(formatDiagnostic(a, wrong));
  });

  test('lines that end with CR alone are named', () => {
    expect(told(wrong.replaceAll('\n', '\r'))).toEqual([
      'bad-yaml The lines of the file end with a carriage return alone; save it with LF or CRLF.',
    ]);
  });
});

describe('bounds that nothing can be held against', () => {
  test.each([
    ['of: run.fixer.time, min: { fact: fixer.clearingTime, times: -2 }', 'bad-range min: times is above 0'],
    ['of: run.fixer.time, min: { fact: fixer.clearingTime, times: 0 }', 'bad-range min: times is above 0'],
    [
      'of: run.fixer.time, min: { fact: run.fixer.time, times: 2 }',
      'limit-wrong run.fixer.time would be held against itself',
    ],
    ['of: run.fixer.time, min: -5 min', 'bad-range min: a time is not below 0'],
    ['of: run.fixer.time, max: 1e300 min', 'bad-range max: no run.fixer.time is as large as that'],
    ["of: run.fixer.time, range: '-5 to 5 min'", 'bad-range range: a time is not below 0'],
  ])('%s', (rest, expected) => {
    const all = told(limit(rest));
    expect(all).toHaveLength(1);
    expect(all[0]).toContain(expected);
  });

  test('a temperature may be below 0', () => {
    expect(told(limit("of: run.developer.temperature, min: '-5 Cel'"))).toEqual([]);
  });
});
