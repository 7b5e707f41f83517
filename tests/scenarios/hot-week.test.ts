import { describe, expect, test } from '@jest/globals';
import { hotWeek } from '../../src/cli/demo/weeks/hot-week.js';
import { brief, on, only, others, Stage, wording } from './stage.js';

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
