import { describe, expect, test } from '@jest/globals';
import { fading } from '../../src/cli/demo/weeks/fading.js';
import { brief, only, others, Stage, wording, type Seen } from './stage.js';

/** Scenario 5: fading, and then mixed wrong. */
describe('fading, and then mixed wrong', () => {
  const week = fading();
  const stage = new Stage(week.office, '2026-01-12T06:00', week.events);
  const strip = (seen: Seen) =>
    seen.findings.filter((finding) => finding.hold === 'line' || /steps? lighter/.test(finding.message));
  const strong = (seen: Seen) => seen.strong.filter(({ line }) => line === 'M1');

  test('Monday: two days without replenisher are advice with their films, not a card', () => {
    const monday = stage.asOf('2026-02-09T09:00');
    const finding = only(monday.findings.filter(({ message, line }) => line === 'M1' && /replenish/i.test(message)));
    expect(finding.severity).toBe('advice');
    expect(finding.message).toMatch(/2 working days/);
    expect(finding.message).toMatch(/76 films/);
    expect(brief(strong(monday))).toEqual([]);
    expect(monday.board.cards).toEqual([]);
  });

  test('one and two steps are within the limit', () => {
    expect(brief(strong(stage.asOf('2026-02-09T18:00')))).toEqual([]);
    expect(brief(strong(stage.asOf('2026-02-10T18:00')))).toEqual([]);
  });

  test('three steps hold the line, with the numbers that matter', () => {
    const seen = stage.asOf('2026-02-11T08:00');
    const finding = only(strong(seen));
    expect(finding.severity).toBe('standard');
    expect(finding.openedAt).toBe(stage.instant('2026-02-11T07:58'));
    expect(finding.hold).toBe('line');
    expect(finding.message).toMatch(/3 steps lighter/);
    expect(finding.message).toMatch(/limit 2/);
    expect(finding.message).toMatch(/30 days?/);
    expect(finding.message).toMatch(/798 films/);
    expect(finding.message).toMatch(/4 Feb/);
    expect(wording(finding)).toMatch(/strip/i);
    expect(seen.board.lines.find(({ id }) => id === 'M1')?.state).toBe('hold');
    const card = seen.board.cards.find(({ state }) => state === 'hold');
    expect(card?.what).toMatch(/3 steps lighter/);
  });

  test('the change does not clear it', () => {
    const seen = stage.asOf('2026-02-11T12:45');
    expect(only(strong(seen)).state).toBe('open');
    expect(seen.board.lines.find(({ id }) => id === 'M1')?.state).toBe('hold');
  });

  test('fresh chemistry and still four lighter: the same finding, the mix is suspected', () => {
    const finding = only(strong(stage.asOf('2026-02-11T12:55')));
    expect(finding.state).toBe('open');
    expect(finding.openedAt).toBe(stage.instant('2026-02-11T07:58'));
    expect(finding.message).toMatch(/still 4/);
    expect(finding.message).toMatch(/mix/);
    expect(finding.message).toMatch(/dilution/i);
    expect(finding.said).toHaveLength(2);
  });

  test('the strip at 0 clears it; held 5 h 47 min; the nine films need no finding', () => {
    const seen = stage.asOf('2026-02-11T18:00');
    const finding = only(strip(seen));
    expect(finding.state).toBe('cleared');
    expect(finding.closedAt).toBe(stage.instant('2026-02-11T13:45'));
    expect((finding.closedAt ?? 0) - finding.openedAt).toBe((5 * 60 + 47) * 60_000);
    expect(finding.films).toBe(0);
    expect(seen.board.lines.find(({ id }) => id === 'M1')?.state).toBe('clear');
  });

  test('nothing else all week: no age, no run rules, no new baseline, nothing taken again, no amount of replenisher', () => {
    const friday = stage.asOf('2026-02-13T18:00');
    expect(others(friday, strip(friday)).filter((line) => !/line:A1/.test(line))).toEqual([]);
    for (const finding of friday.findings) {
      expect(wording(finding)).not.toMatch(/retake|baseline|[0-9] ?(mL|fl oz|L )/);
      expect(finding.kind === 'duty' && /age|old/.test(finding.message)).toBe(false);
    }
  });
});
