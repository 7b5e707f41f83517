import { describe, expect, test } from '@jest/globals';
import { hotWeek } from '../../src/cli/demo/weeks/hot-week.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';
import { brief, on, only, others, shipped, Stage, wording } from './stage.js';

/** Scenario 1: the hot week that is fine. */
describe('the hot week', () => {
  const week = hotWeek();
  const stage = new Stage(week.office, '2026-06-22T06:00', week.events);
  const friday = stage.asOf('2026-07-17T18:00');
  const long = stage.event('film.processed', '2026-07-15T15:10');
  const short = stage.event('film.processed', '2026-07-16T11:20');

  test('five minutes at 76 F is two over the chart: a warning of practice about that run', () => {
    const finding = only(on(friday, long));
    expect(finding.severity).toBe('warning');
    expect(finding.openedAt).toBe(stage.instant('2026-07-15T15:10'));
    expect(finding.message).toMatch(/5:00 at 76 F/);
    expect(finding.message).toMatch(/3:00/);
    expect(finding.message).toMatch(/2:00 over/);
    expect(finding.films).toBe(4);
  });

  test('it is off the board after the next run in range', () => {
    const then = stage.asOf('2026-07-15T16:00');
    expect(then.board.cards.map((card) => card.what).join('\n')).toMatch(/5:00 at 76 F/);
    const next = stage.asOf('2026-07-16T08:31');
    expect(next.board.cards.map((card) => card.what).join('\n')).not.toMatch(/76 F/);
    expect(only(on(next, long)).easedAt).toBe(stage.instant('2026-07-16T08:30'));
  });

  test('half a minute short at 71 F is outside the Minnesota chart: one finding for three films', () => {
    const finding = only(on(friday, short));
    expect(finding.severity).toBe('law');
    expect(finding.openedAt).toBe(stage.instant('2026-07-16T11:20'));
    expect(finding.message).toMatch(/3:30 at 71 F/);
    expect(finding.message).toMatch(/4:00/);
    expect(finding.message).toMatch(/0:30 short/);
    expect(finding.films).toBe(3);
    expect(
      finding.chain
        .filter(({ verdict }) => verdict === 'broken')
        .map(({ citation }) => citation.text)
        .join(),
    ).toMatch(/Minn/);
  });

  test('nothing else: not the heat itself, not leaving 68 to 70 F, not exactly the chart in either unit', () => {
    expect(others(friday, [...on(friday, long), ...on(friday, short)])).toEqual([]);
    for (const local of ['2026-07-17T08:35', '2026-07-17T11:15', '2026-07-17T13:30', '2026-07-17T14:40']) {
      expect(brief(on(friday, stage.event('film.processed', local)))).toEqual([]);
    }
    for (const reading of stage.sent.filter(({ type }) => type === 'bath.measured')) {
      expect(brief(on(friday, reading))).toEqual([]);
    }
  });

  test('nobody is named', () => {
    for (const finding of friday.findings) expect(wording(finding)).not.toMatch(/op-\d/);
    expect(JSON.stringify(friday.board)).not.toMatch(/op-\d/);
  });

  test("the missing maker's sheet is at most one list item, and no card", () => {
    expect(friday.findings.filter((finding) => /sheet/i.test(finding.title)).length).toBeLessThanOrEqual(1);
    expect(others(friday, [...on(friday, long), ...on(friday, short)])).toEqual([]);
  });
});

/** An invented maker's sheet, longer than the state chart between 72 and 76 F. */
const sheet = `
pack: sheet/invented
version: 1.0.0
title: Sheet of an invented maker
authority: an invented maker
layer: maker
citation: { text: sheet of an invented maker, read: text }
charts:
  - id: sheet/invented/times
    title: Invented maker's sheet
    answers: development-time-min
    by: run.developer.temperature
    gives: run.developer.time
    for: { method: manual, chemistry: standard }
    units: { by: '[degF]', gives: min }
    rows: [[68, 5], [70, 4.5], [72, 4], [76, 3], [80, 2.5]]
`;

describe("the hot week with the maker's sheet on file", () => {
  const { pack, diagnostics } = readPack(sheet, 'sheet.yaml');
  if (pack === undefined) throw new Error(JSON.stringify(diagnostics));
  const week = hotWeek();
  const stage = new Stage(week.office, '2026-06-22T06:00', week.events, new PackBook([...shipped.packs, pack]));
  const friday = stage.asOf('2026-07-17T18:00');
  const about = (local: string) =>
    friday.strong.filter(({ evidence }) => evidence.some(({ id }) => id === stage.event('film.processed', local).id));

  test('3:30 at 74 F is short against the sheet, though the state chart would allow it', () => {
    const finding = only(about('2026-07-14T08:25'));
    expect(finding.message).toMatch(/3:30 at 74 F/);
    expect(finding.message).toMatch(/4:00/);
    expect(finding.films).toBe(22);
    expect(only(about('2026-07-14T15:30')).id).toBe(finding.id);
  });

  test('the answer names the sheet and does not mix two charts', () => {
    const finding = only(about('2026-07-14T08:25'));
    const minimum = finding.chain.filter(({ limit, side }) => limit === 'development-time-min' && side === 'min');
    expect(minimum.length).toBeGreaterThan(0);
    for (const rung of minimum) {
      expect(rung.chart).toBe("Invented maker's sheet");
      expect(rung.text).toBe('4:00');
      expect(rung.citation.text).toMatch(/invented maker/);
    }
  });

  test('where the sheet allows it there is nothing, and the reminder to get one is gone', () => {
    for (const local of ['2026-07-13T08:30', '2026-07-15T08:40', '2026-07-17T13:30'])
      expect(brief(about(local))).toEqual([]);
    expect(brief(friday.findings.filter(({ title }) => /sheet not on file/i.test(title)))).toEqual([]);
  });
});
