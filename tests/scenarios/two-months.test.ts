import { describe, expect, test } from '@jest/globals';
import { holiday, longMonths, personAdded, shortMonths } from '../../src/cli/demo/weeks/two-months.js';
import { brief, only, others, Stage, wording, type Seen } from './stage.js';

const aboutAge = (seen: Seen) =>
  seen.findings.filter(
    (finding) => finding.kind === 'duty' && /chang/i.test(finding.title) && !/strip/i.test(finding.title),
  );

/** Scenario 3a: two calendar months end before sixty days. */
describe('two months before sixty days (Washington)', () => {
  const week = shortMonths();
  const stage = new Stage(week.office, '2026-01-08T06:00', week.events);

  test('a week before, the due list names the last working day and the due day', () => {
    const item = stage
      .asOf('2026-03-02T09:00')
      .due.find(({ line, text, title }) => line === 'M1' && /chemistry/i.test(title + text));
    expect(item?.lastWorkingDay).toBe('2026-03-06');
    expect(item?.due).toBe(Date.parse('2026-03-09T07:00:00Z'));
    expect(item?.text).toMatch(/Fri 6 Mar/);
    expect(item?.text).toMatch(/Sun 8 Mar/);
  });

  test('through Sunday it is in limit, in the zone of the day the clocks change', () => {
    expect(brief(stage.asOf('2026-03-08T23:59').strong)).toEqual([]);
  });

  test('on Monday at midnight, daylight time, one finding of law; sixty days are not yet reached', () => {
    const finding = only(stage.asOf('2026-03-09T00:00').strong);
    expect(finding.severity).toBe('law');
    expect(new Date(finding.openedAt).toISOString()).toBe('2026-03-09T07:00:00.000Z');
    expect(finding.chain.find(({ layer }) => layer === 'state')?.verdict).toBe('broken');
    expect(finding.chain.find(({ layer }) => layer === 'practice')?.verdict).toBe('met');
  });

  test('changed before the first film: cleared, no film developed over age', () => {
    const evening = stage.asOf('2026-03-09T18:00');
    const finding = only(evening.strong);
    expect(finding.state).toBe('cleared');
    expect(finding.closedAt).toBe(stage.instant('2026-03-09T07:40'));
    expect(finding.films).toBe(0);
  });

  test('no second finding for sixty days, none for the chairside box', () => {
    const later = stage.asOf('2026-03-11T12:00');
    expect(later.strong).toHaveLength(1);
    expect(brief(later.findings.filter(({ line }) => line === 'C1'))).toEqual([]);
  });
});

/** Scenario 3b: sixty days end before two calendar months. */
describe('sixty days before two months (Washington)', () => {
  const week = longMonths();
  const stage = new Stage(week.office, '2026-07-01T06:00', week.events);
  const nameless = (seen: Seen) => seen.findings.filter((finding) => /who/i.test(finding.message));

  test('the change without a person is one warning', () => {
    const finding = only(nameless(stage.asOf('2026-07-01T12:00')));
    expect(finding.severity).toBe('warning');
    expect(finding.openedAt).toBe(stage.instant('2026-07-01T07:30'));
    expect(finding.message).toMatch(/person/);
    expect(finding.message).toMatch(/M1/);
    expect(brief(stage.asOf('2026-07-01T12:00').strong)).toHaveLength(1);
  });

  test('it is gone when the person is added, and until then it stays', () => {
    expect(only(nameless(stage.asOf('2026-07-10T12:00'))).state).toBe('open');
    const put = new Stage(week.office, '2026-07-01T06:00', [...week.events, ...personAdded(week)]);
    expect(brief(nameless(put.asOf('2026-07-10T12:00')).filter(({ state }) => state === 'open'))).toEqual([]);
    const later = only(aboutAge(put.asOf('2026-09-02T11:00')));
    expect(later.severity).toBe('law');
  });

  test('a warning of practice after sixty days', () => {
    expect(brief(aboutAge(stage.asOf('2026-08-30T23:59')))).toEqual([]);
    const finding = only(aboutAge(stage.asOf('2026-08-31T00:00')));
    expect(finding.severity).toBe('warning');
    expect(finding.openedAt).toBe(stage.instant('2026-08-31T00:00'));
    expect(finding.line).toBe('M1');
    expect(finding.chain.find(({ layer }) => layer === 'state')?.verdict).toBe('met');
  });

  test('what the board says is true as long as it stands there: dates, no running number, and which baths', () => {
    const says = (local: string) => stage.asOf(local).board.cards.find(({ rule }) => /age$/.test(rule))?.what;
    expect(says('2026-09-01T12:00')).toMatch(
      /^M1 chemistry in use since Wed 1 Jul 2026; limit 60 days, through Sun 30 Aug 2026/,
    );
    expect(says('2026-09-02T08:00')).toMatch(/since Wed 1 Jul 2026; limit 2 months, through Tue 1 Sep 2026/);
    for (const local of ['2026-09-01T12:00', '2026-09-02T08:00']) expect(says(local)).not.toMatch(/\d days old/);
  });

  test('the same finding rises to law after two months', () => {
    const warning = only(aboutAge(stage.asOf('2026-09-01T23:59')));
    expect(warning.severity).toBe('warning');
    const law = only(aboutAge(stage.asOf('2026-09-02T00:00')));
    expect(law.severity).toBe('law');
    expect(law.id).toBe(warning.id);
    expect(law.openedAt).toBe(stage.instant('2026-08-31T00:00'));
  });

  test('61 films were developed until the change cleared it', () => {
    const finding = only(aboutAge(stage.asOf('2026-09-02T18:00')));
    expect(finding.films).toBe(61);
    expect(finding.state).toBe('cleared');
    expect(finding.closedAt).toBe(stage.instant('2026-09-02T12:10'));
  });

  test('developer and fixer due on one day are one card, and nothing else is said', () => {
    const then = stage.asOf('2026-09-01T12:00');
    expect(
      then.board.cards.filter(({ what }) => /chemistry|developer|fixer/i.test(what) && !/who/i.test(what)),
    ).toHaveLength(1);
    const last = stage.asOf('2026-09-04T18:00');
    expect(others(last, [...aboutAge(last), ...nameless(last)])).toEqual([]);
  });
});

/** Scenario 3c: a closure over the sixtieth day (New Mexico: three months). */
describe('sixty days during a closure (New Mexico)', () => {
  const week = holiday();
  const stage = new Stage(week.office, '2026-07-01T06:00', week.events);

  test('nothing during the closure', () => {
    for (const local of ['2026-08-30T12:00', '2026-08-31T12:00', '2026-09-05T12:00', '2026-09-08T07:29']) {
      expect(brief(stage.asOf(local).strong.filter(({ line }) => line === 'M1'))).toEqual([]);
    }
  });

  test('one warning of practice when work resumes, with the age', () => {
    const seen = stage.asOf('2026-09-08T07:45');
    const finding = only(seen.strong.filter(({ line }) => line === 'M1'));
    expect(finding.severity).toBe('warning');
    expect(finding.openedAt).toBe(stage.instant('2026-09-08T07:30'));
    expect(finding.message).toMatch(/since Wed 1 Jul 2026/);
    expect(finding.message).toMatch(/69 d/);
    expect(finding.message).toMatch(/after the closure/);
    expect(wording(finding)).toMatch(/before the first patient film/);
    expect(wording(finding)).toMatch(/dentist/);
  });

  test('the change clears it; no law, no missing daily checks, no missing strips', () => {
    const evening = stage.asOf('2026-09-08T18:00');
    const finding = only(evening.strong.filter(({ line }) => line === 'M1'));
    expect(finding.state).toBe('cleared');
    expect(finding.closedAt).toBe(stage.instant('2026-09-08T07:50'));
    expect(evening.findings.filter(({ severity }) => severity === 'law')).toEqual([]);
    const closed = stage.instant('2026-08-24T00:00');
    expect(
      brief(
        evening.findings.filter(({ id, line, openedAt }) => id !== finding.id && line === 'M1' && openedAt >= closed),
      ),
    ).toEqual([]);
  });
});
