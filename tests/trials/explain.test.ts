import { describe, expect, test } from '@jest/globals';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { readPack } from '../../src/packs/reader/index.js';
import { bareState, explain, ExplainError } from '../../src/trials/explain.js';

const { packs: shipped } = await loadPacks('rules');
const at = Date.parse('2026-03-20T12:00:00Z');
const place = { jurisdictions: ['us', 'us-wa'], zone: 'America/New_York', method: 'manual' };

function told(quantity: string, more: string[] = [], where: Partial<typeof place> = {}): string[][] {
  const own = more.map((text, index) => {
    const { pack, diagnostics } = readPack(text, `own-${index}.yaml`);
    if (pack === undefined) throw new Error(diagnostics.map(({ message }) => message).join('\n'));
    return pack;
  });
  const book = new PackBook([...shipped, ...own]);
  return explain(bareState({ ...place, ...where }, at, book), at, book, quantity);
}
const clinic = (limits: string, more = '') => `pack: office/own
version: 1.0.0
title: House rules
authority: The office
layer: clinic
${more}citation: { text: House rule 3, read: practice }
limits: [${limits}]
`;

describe('explaining a quantity', () => {
  test('as a person would tell it', () => {
    expect(
      told('chemistry-age', [clinic('{ id: chemistry-age, of: chemistry.age, max: 75 d, severity: warning }')]),
    ).toEqual([
      [
        'chemistry-age on line manual: age of a fill in calendar days, as limits of age bound it.',
        'Washington State Department of Health (state) says at most 2 months; outside it is a breach of law. WAC 246-225A-090 (2023 code archive, read as text).',
        'Common practice (beside the law) says at most 60 days; outside it is a warning. common practice, no source.',
        "The office (the office's own) says at most 75 days; outside it is a warning. House rule 3 (common practice).",
        'Your own limit, at most 75 days, has no effect: WAC 246-225A-090 (Washington State Department of Health) is stricter, at most 2 months.',
        'The strictest for a fill of today is common practice, no source: at most 60 days.',
        'Of United States federal regulations nothing on it was read. Not known there: film processing; film processor limits; automatic processor times.',
      ],
    ]);
  });
  test('a law that speaks for other lines only is told as such', () => {
    const [lines = []] = told('chemistry-age', [], { method: 'automatic' });
    expect(lines.find((line) => line.startsWith('Washington'))).toMatch(
      /^Washington State Department of Health speaks on it for other lines only\. Not known there: solution temperature; /,
    );
  });
  test('a fact stands for every limit on it', () => {
    expect(told('run.developer.time').map(([heading]) => heading)).toEqual([
      'development-time-max on line manual: time in the developer.',
      'development-time-min on line manual: time in the developer.',
    ]);
  });
  test('what is limited elsewhere, and what nowhere', () => {
    expect(told('chemistry-age', [], { jurisdictions: [], method: 'chairside' })).toEqual([
      [
        'chemistry-age: no limit on it is in force here, none begins within 60 days, none ended within a year.',
        'Packs that have one elsewhere or for other lines: common/chemistry-age; us-nm/processing (us-nm); us-wa/processing (us-wa).',
      ],
    ]);
    expect(told('bath.level')[0]?.[1]).toBe('No pack has one anywhere.');
  });
  test.each([
    ['chemestry-age', 'chemistry-age'],
    ['run.developer.tme', 'run.developer.time'],
  ])('%s is no name, and the nearest is told', (wrong, right) => {
    expect(() => told(wrong)).toThrow(
      new ExplainError(`No pack has a limit ${wrong}, and there is no such fact. Did you mean ${right}?`),
    );
  });
  test('a place that the catalogue refuses is a sentence', () => {
    expect(() => told('chemistry-age', [], { zone: 'Mars/Phobos' })).toThrow(ExplainError);
    expect(() => told('chemistry-age', [], { method: 'by hand' })).toThrow(ExplainError);
  });
});
