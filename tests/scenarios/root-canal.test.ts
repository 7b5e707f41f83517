import { describe, expect, test } from '@jest/globals';
import { rootCanal } from '../../src/cli/demo/weeks/root-canal.js';
import { brief, only, others, Stage, wording, type Seen } from './stage.js';

/** Scenario 7: a root canal at the chair. */
describe('a root canal at the chair', () => {
  const week = rootCanal();
  const stage = new Stage(week.office, '2026-03-11T06:00', week.events);
  const unfixed = (seen: Seen) => seen.strong.filter(({ line }) => line === 'C1');
  const due = (seen: Seen) => seen.due.filter(({ line }) => line === 'C1');

  test('after half past twelve one of five is left on the due list, by its own hour', () => {
    const [item, ...more] = due(stage.asOf('2026-03-11T12:31'));
    expect(more).toEqual([]);
    expect(item?.text).toMatch(/1 of 5/);
    expect(item?.text).toMatch(/Thu.* 10:20/);
    expect(item?.due).toBe(stage.instant('2026-03-12T10:20'));
  });

  test('before that, one reminder for the five', () => {
    expect(due(stage.asOf('2026-03-11T10:30'))).toHaveLength(1);
    expect(brief(unfixed(stage.asOf('2026-03-12T10:19')))).toEqual([]);
  });

  test('at its hour one warning for one film; it browns', () => {
    const finding = only(unfixed(stage.asOf('2026-03-12T10:21')));
    expect(finding.severity).toBe('warning');
    expect(finding.openedAt).toBe(stage.instant('2026-03-12T10:20'));
    expect(finding.message).toMatch(/1 chairside film/);
    expect(finding.message).toMatch(/24 h/);
    expect(wording(finding)).toMatch(/brown/);
    expect(wording(finding)).toMatch(/wash/);
  });

  test('refixing clears it', () => {
    const finding = only(unfixed(stage.asOf('2026-03-12T12:00')));
    expect(finding.state).toBe('cleared');
    expect(finding.closedAt).toBe(stage.instant('2026-03-12T11:05'));
  });

  test('nothing else: not the tank chart, not sight, not age, not the wet reading, not four retakes', () => {
    const later = stage.asOf('2026-03-13T12:00');
    expect(others(later, unfixed(later))).toEqual([]);
    expect(unfixed(later)).toHaveLength(1);
    for (const finding of later.findings.filter(({ line }) => line === 'C1')) {
      expect(wording(finding)).not.toMatch(/chart|sight|exhaust|green_stain|retake|months|days old/i);
    }
  });
});
