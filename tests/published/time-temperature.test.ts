import { describe, expect, test } from '@jest/globals';
import { findings, office, rules, type Place } from './office.js';
import type { Finding } from '../../src/engine/finding.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';

/**
 * The chart for manual development, minimum minutes by developer temperature in whole degrees F, as printed alike in
 *   Minn. R. 4732.0555 (through Register Vol. 49 No. 24, 2024-12-09),
 *   N.D. Admin. Code ch. 33.1-10-06 App. D,
 *   WAC 246-225-150(1)(a) (through Register 24-18, 2024-09-15),
 *     https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150
 * and, down to 61 F where the copy is cut, in WAC 246-225A-090. Typed here from the codes, not read from rules/.
 */
const printed: readonly (readonly [fahrenheit: number, minutes: number])[] = [
  [80, 2],
  [79, 2],
  [78, 2.5],
  [77, 2.5],
  [76, 3],
  [75, 3],
  [74, 3.5],
  [73, 3.5],
  [72, 4],
  [71, 4],
  [70, 4.5],
  [69, 4.5],
  [68, 5],
  [67, 5.5],
  [66, 5.5],
  [65, 6],
  [64, 6.5],
  [63, 7],
  [62, 8],
  [61, 8.5],
  [60, 9.5],
];

/** 20.3.6.612 NMAC App. C prints 22 times for 21 temperatures; beside these two the copy differs and is doubtful. */
const doubtfulInNewMexico = [79, 77];

interface Developed {
  readonly temperature: number;
  readonly unit?: '[degF]' | 'Cel';
  readonly seconds: number;
}

function develop(place: Place, { temperature, unit = '[degF]', seconds }: Developed, among?: PackBook): Finding[] {
  const run = {
    line: 'M1',
    method: 'manual',
    count: 2,
    developer: { temperature: { value: temperature, unit }, time: { value: seconds, unit: 's' } },
  };
  const told = [office(place, 'house developer'), { type: 'film.processed', time: '2026-03-02T18:00:00Z', data: run }];
  return findings(told, undefined, among).filter(({ topic }) => topic.startsWith('run:'));
}

/** The findings about a time that was too short. */
const short = (found: readonly Finding[]) =>
  found.filter(({ chain }) =>
    chain.some(
      ({ limit, side, verdict }) => limit === 'development-time-min' && side === 'min' && verdict === 'broken',
    ),
  );
const lawful = (found: readonly Finding[]) => found.filter(({ severity }) => severity === 'law');
const stateRung = (finding: Finding | undefined) => finding?.chain.find(({ layer }) => layer === 'state');

test('the chart has its 21 rows, from 60 to 80 F', () => {
  expect(printed.map(([fahrenheit]) => fahrenheit)).toEqual(Array.from({ length: 21 }, (_, row) => 80 - row));
});

describe.each(['us-wa', 'us-mn'] as const)('the printed chart in %s', (place) => {
  test.each(printed)('%d F: %d min is in limit, a second less is not, a second more is', (fahrenheit, minutes) => {
    expect(short(develop(place, { temperature: fahrenheit, seconds: minutes * 60 }))).toEqual([]);
    expect(short(develop(place, { temperature: fahrenheit, seconds: minutes * 60 + 1 }))).toEqual([]);
    const [finding, ...others] = short(develop(place, { temperature: fahrenheit, seconds: minutes * 60 - 1 }));
    expect(others).toEqual([]);
    expect(finding?.severity).toBe('law');
    expect(stateRung(finding)).toMatchObject({ verdict: 'broken', bound: minutes * 60 });
  });

  test.each(printed.filter(([fahrenheit]) => fahrenheit < 80))(
    'up to the next row the colder one answers: %d.9 F asks %d min',
    (fahrenheit, minutes) => {
      expect(short(develop(place, { temperature: fahrenheit + 0.9, seconds: minutes * 60 }))).toEqual([]);
      expect(lawful(short(develop(place, { temperature: fahrenheit + 0.9, seconds: minutes * 60 - 1 })))).toHaveLength(
        1,
      );
    },
  );

  test.each(printed)('%d F written in Celsius asks the same %d min', (fahrenheit, minutes) => {
    const temperature = ((fahrenheit - 32) * 5) / 9;
    expect(short(develop(place, { temperature, unit: 'Cel', seconds: minutes * 60 }))).toEqual([]);
    expect(lawful(short(develop(place, { temperature, unit: 'Cel', seconds: minutes * 60 - 1 })))).toHaveLength(1);
  });

  test.each([59.9, 80.1])('at %d F the chart has no answer, however short the time', (temperature) => {
    expect(short(develop(place, { temperature, seconds: 1 }))).toEqual([]);
  });
});

test('the 60 F row of Washington names the section it was read in', () => {
  const [finding] = short(develop('us-wa', { temperature: 60, seconds: 9.5 * 60 - 1 }));
  expect(stateRung(finding)?.citation.text).toMatch(/60 F row from WAC 246-225-150/);
});

describe('the New Mexico copy', () => {
  const sure = printed.filter(([fahrenheit]) => !doubtfulInNewMexico.includes(fahrenheit));

  test.each(sure)('%d F: %d min is in limit, a second less is not, a second more is', (fahrenheit, minutes) => {
    expect(short(develop('us-nm', { temperature: fahrenheit, seconds: minutes * 60 }))).toEqual([]);
    expect(short(develop('us-nm', { temperature: fahrenheit, seconds: minutes * 60 + 1 }))).toEqual([]);
    const [finding] = short(develop('us-nm', { temperature: fahrenheit, seconds: minutes * 60 - 1 }));
    expect(finding?.severity).toBe('law');
    expect(stateRung(finding)).toMatchObject({ verdict: 'broken', bound: minutes * 60 });
  });

  test.each([77, 77.5, 79, 79.9])('%d F is never law: the copy is doubtful there', (temperature) => {
    const found = develop('us-nm', { temperature, seconds: 60 });
    expect(lawful(found)).toEqual([]);
    const [finding] = short(found);
    expect(finding?.severity).toBe('warning');
    expect(stateRung(finding)?.verdict).toBe('unknown');
  });
});

test('where no law was read the same chart is practice, never law (North Dakota, no pack)', () => {
  const [finding] = short(develop('us-nd', { temperature: 68, seconds: 299 }));
  expect(finding?.severity).toBe('warning');
  expect(stateRung(finding)).toBeUndefined();
});

/**
 * An invented maker's sheet that asks more than the codes at 74 F (its 72 F row: 4:00 against 3:30). Minnesota: makers'
 * recommendation, the table only where there is none. Washington and New Mexico: either.
 */
describe("a maker's sheet on file", () => {
  const read = readPack(
    `pack: maker/house-developer
version: 1.0.0
title: House developer, time and temperature
authority: invented maker
layer: maker
citation: { text: sheet of the invented house developer, read: text }
charts:
  - id: maker/house-developer-chart
    title: House developer sheet
    answers: development-time-min
    by: run.developer.temperature
    gives: run.developer.time
    for: { product: house developer }
    units: { by: '[degF]', gives: min }
    rows: [[68, 5], [70, 4.5], [72, 4], [76, 3], [80, 2.5]]
`,
    'house-developer.yaml',
  );
  const withSheet = () => {
    if (read.pack === undefined) throw new Error(JSON.stringify(read.diagnostics));
    return new PackBook([...rules, read.pack]);
  };
  const run = { temperature: 74, seconds: 3.5 * 60 };

  test('Minnesota: the sheet takes the place of the table and is named', () => {
    const [finding] = short(develop('us-mn', run, withSheet()));
    expect(finding?.severity).toBe('law');
    expect(stateRung(finding)).toMatchObject({ verdict: 'broken', bound: 240, chart: 'House developer sheet' });
    expect(short(develop('us-mn', { temperature: 74, seconds: 240 }, withSheet()))).toEqual([]);
  });

  test.each(['us-wa', 'us-nm'] as const)('%s: either satisfies, so the state chart lets it pass', (place) => {
    expect(lawful(develop(place, run, withSheet()))).toEqual([]);
    expect(lawful(short(develop(place, { temperature: 74, seconds: 3.5 * 60 - 1 }, withSheet())))).toHaveLength(1);
  });

  test('the sheet also carries the upper side: its own time is not called too long', () => {
    expect(develop('us-mn', { temperature: 74, seconds: 4.25 * 60 }, withSheet())).toEqual([]);
  });
});
