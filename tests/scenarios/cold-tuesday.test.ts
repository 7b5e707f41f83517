import { describe, expect, test } from '@jest/globals';
import { coldTuesday } from '../../src/cli/demo/weeks/cold-tuesday.js';
import { brief, on, only, others, Stage, wording } from './stage.js';

/** Scenario 2: cold Tuesday after a long weekend. */
describe('cold Tuesday', () => {
  const week = coldTuesday();
  const stage = new Stage(week.office, '2026-01-15T06:00', week.events);
  const evening = stage.asOf('2026-01-20T18:00');
  const first = stage.event('film.processed', '2026-01-20T08:20');
  const second = stage.event('film.processed', '2026-01-20T08:40');
  const unread = (at: string) => stage.asOf(at).strong.filter((finding) => /temperature/i.test(finding.message));

  test('films without a temperature reading: one warning, from the first run', () => {
    const finding = only(unread('2026-01-20T08:30'));
    expect(finding.severity).toBe('warning');
    expect(finding.openedAt).toBe(stage.instant('2026-01-20T08:20'));
    expect(finding.line).toBe('M1');
    expect(finding.state).toBe('open');
    expect(finding.films).toBe(4);
  });

  test('the second run adds to its count', () => {
    const finding = only(unread('2026-01-20T08:50'));
    expect(finding.openedAt).toBe(stage.instant('2026-01-20T08:20'));
    expect(finding.films).toBe(11);
    expect(finding.state).toBe('open');
  });

  test('the reading clears it', () => {
    const finding = only(unread('2026-01-20T18:00'));
    expect(finding.state).toBe('cleared');
    expect(finding.closedAt).toBe(stage.instant('2026-01-20T09:15'));
    expect(finding.closedBy).toMatchObject({ type: 'bath.measured' });
  });

  test('the temperature at the time is unknown: no law, no verdict on the two runs, not even after the reading', () => {
    expect(evening.findings.filter(({ severity }) => severity === 'law')).toEqual([]);
    for (const run of [first, second]) {
      expect(brief(on(evening, run).filter((finding) => finding.topic.startsWith('run:')))).toEqual([]);
    }
    const then = stage.asOf('2026-01-20T08:50');
    expect(
      Object.values(then.state.unevaluable)
        .map(({ missing }) => missing.map(({ fact }) => fact))
        .flat(),
    ).toContain('run.developer.temperature');
  });

  test('why the films are light: one word of advice for all eleven, the developer first', () => {
    const why = evening.findings.filter(({ rule }) => rule === 'defects/why/causes');
    const finding = only(why);
    expect(finding.openedAt).toBe(stage.instant('2026-01-20T09:05'));
    expect(finding).toMatchObject({ severity: 'advice', line: 'M1', films: 11 });
    const [before] = finding.said;
    expect(before?.at).toBe(stage.instant('2026-01-20T09:05'));
    expect(before?.message).toMatch(/^11 films show it, of 2 runs, 2 units, 2 people\. /);
    for (const cause of ['too cold', 'exhausted', 'time too short']) expect(before?.message).toContain(cause);
    expect(before?.message).not.toMatch(/too little exposure/);
  });

  test('the thermometer at 09:15: the same finding, ranked anew, with its numbers; retakes of its films are counted', () => {
    const finding = only(evening.findings.filter(({ rule }) => rule === 'defects/why/causes'));
    const then = finding.said.find(({ at }) => at === stage.instant('2026-01-20T09:15'))?.message;
    for (const message of [then, finding.message]) {
      expect(message).toMatch(/Likely: (developer too cold|development time too short)/);
      for (const number of ['62 F', '8:00', '5:00']) expect(message).toContain(number);
    }
    expect(finding.evidence.map(({ type }) => type)).toContain('bath.measured');
    expect(finding.repeats).toBe(3);
  });

  test('nothing for the closure, for the cold wash in Washington, for a unit, a timer or a person', () => {
    expect(others(evening, unread('2026-01-20T18:00'))).toEqual([]);
    const tuesday = stage.instant('2026-01-20T00:00');
    expect(brief(evening.findings.filter(({ openedAt }) => openedAt < tuesday))).toEqual([]);
    expect(brief(evening.findings.filter(({ tube }) => tube !== undefined))).toEqual([]);
    for (const finding of evening.findings) {
      expect(wording(finding)).not.toMatch(/op-\d|retake 11|wash .*55|longer exposure|(?<!not )raise the exposure/i);
    }
  });

  test('the six waiting films, at 69 F and 4:30 after the strip, are without a finding', () => {
    expect(brief(on(evening, stage.event('film.processed', '2026-01-20T10:30')))).toEqual([]);
    expect(evening.board.lines.find(({ id }) => id === 'M1')?.state).toBe('clear');
  });
});
