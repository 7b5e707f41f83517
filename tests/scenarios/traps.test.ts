import { describe, expect, test } from '@jest/globals';
import { brackenfold, ostermoor, pellquay, tarnsett } from '../../src/cli/demo/offices.js';
import { celsius, fahrenheit, minutes, Teller } from '../../src/cli/demo/teller.js';
import type { Office } from '../../src/cli/demo/offices.js';
import { brief, on, only, Stage } from './stage.js';

const story = (office: Office, configured: string, tell: (t: Teller) => void): Stage => {
  const t = new Teller(office, 'trap');
  tell(t);
  return new Stage(office, configured, t.events);
};

/** The one-line traps of the told weeks that this version can fall into; the rest are in not-yet.ts. */
describe('traps', () => {
  test('1: a box marked 2026-08 is good through 31 August, local end of day', () => {
    const stage = story(brackenfold, '2026-08-03T06:00', (t) => {
      t.tell('2026-08-03T07:15', 'filmstock.received', { lot: 'lot-8', speed: 'F', expires: '2026-08', count: 150 });
      t.exposed('2026-08-31T23:40', 'last', 'R1', { lot: 'lot-8' });
      t.exposed('2026-09-01T00:05', 'late', 'R1', { lot: 'lot-8' });
    });
    const expired = (local: string) =>
      stage.asOf(local).strong.filter(({ rule, message }) => /stock|expire|out of date/i.test(rule + message));
    expect(brief(expired('2026-08-31T23:50'))).toEqual([]);
    expect(only(expired('2026-09-01T00:10')).openedAt).toBe(stage.instant('2026-09-01T00:05'));
  });

  test('3: the 60 F row in Washington is cited from the sister section that shows it', () => {
    const stage = story(brackenfold, '2026-03-02T06:00', (t) => {
      t.run('2026-03-02T09:00', 'M1', { count: 2, temperature: fahrenheit(60), time: minutes('9:00') });
      t.run('2026-03-02T10:00', 'M1', { count: 2, temperature: fahrenheit(60), time: minutes('9:30') });
    });
    const seen = stage.asOf('2026-03-02T12:00');
    const short = only(
      on(seen, stage.event('film.processed', '2026-03-02T09:00')).filter(({ severity }) => severity === 'law'),
    );
    expect(short.message).toMatch(/9:30/);
    const said = short.chain.filter(({ verdict, severity }) => verdict === 'broken' && severity === 'law');
    expect(said.map(({ citation }) => `${citation.text} ${citation.note ?? ''}`).join()).toMatch(/246-225-150/);
    expect(brief(on(seen, stage.event('film.processed', '2026-03-02T10:00')))).toEqual([]);
  });

  test.each([77, 78.5, 79, 79.5])(
    '4: never a law at 79 or 77 F in New Mexico, where the copy is in doubt (%d F)',
    (degrees) => {
      const stage = story(pellquay, '2026-03-02T06:00', (t) => {
        t.run('2026-03-02T09:00', 'M1', { count: 2, temperature: fahrenheit(degrees), time: minutes('1:30') });
      });
      const law = stage.asOf('2026-03-02T12:00').findings.filter(({ severity }) => severity === 'law');
      // Between the doubtful rows the rows of 78 and 80 F stand: 78.5 F is judged by 78 F.
      expect(law.length > 0).toBe(degrees === 78.5);
    },
  );

  test("5: 20 Cel is in Minnesota's range of 60 to 80 F, whatever its metric copy prints", () => {
    const stage = story(ostermoor, '2026-03-02T06:00', (t) => {
      t.measured('2026-03-02T08:00', 'M1', { developer: celsius(20), fixer: celsius(20) });
      t.measured('2026-03-02T09:00', 'M1', { developer: celsius(26), fixer: celsius(26) });
    });
    expect(brief(stage.asOf('2026-03-02T10:00').findings)).toEqual([]);
    const hot = story(ostermoor, '2026-03-02T06:00', (t) =>
      t.measured('2026-03-02T08:00', 'M1', { developer: fahrenheit(81) }),
    );
    expect(brief(hot.asOf('2026-03-02T10:00').strong)).not.toEqual([]);
  });

  test.each([
    ['2026-12-31', '2027-02-28', '2027-03-01'],
    ['2027-12-31', '2028-02-29', '2028-03-01'],
  ])('6: two months from %s run through %s', (changed, last, over) => {
    const stage = story(tarnsett, `${changed}T06:00`, (t) => {
      t.changed(`${changed}T07:30`, 'M1', ['developer', 'fixer'], { by: 'op-6' });
    });
    const law = (local: string) => stage.asOf(local).findings.filter(({ severity }) => severity === 'law');
    expect(brief(law(`${last}T23:59`))).toEqual([]);
    expect(only(law(`${over}T23:00`)).chain.find(({ layer }) => layer === 'state')?.bound).toBe(
      stage.instant(`${over}T00:00`),
    );
  });

  test('7: a bath read at 07:50 says nothing of a film at 16:30: not evaluable, one list item', () => {
    const stage = story(brackenfold, '2026-03-02T06:00', (t) => {
      t.measured('2026-03-02T07:50', 'M1', { developer: fahrenheit(68) });
      t.strip('2026-03-02T07:58', 'M1');
      t.run('2026-03-02T08:30', 'M1', { count: 2, time: minutes('5:00') });
      // Far too short for any temperature there could be, were it judged.
      t.run('2026-03-02T16:30', 'M1', { count: 2, time: minutes('1:00') });
      t.run('2026-03-02T16:45', 'M1', { count: 2, time: minutes('1:00') });
    });
    const evening = stage.asOf('2026-03-02T17:00');
    expect(brief(evening.strong)).toEqual([]);
    const short = Object.values(evening.state.unevaluable).filter(({ rule }) => rule.endsWith('/development-short'));
    expect(short).toHaveLength(1);
    expect(short[0]?.count).toBe(2);
    expect(short[0]?.since).toBe(stage.instant('2026-03-02T16:30'));
    expect(short[0]?.missing).toContainEqual(expect.objectContaining({ fact: 'run.developer.temperature' }));
    const weekly = evening.board.weekly.filter(
      ({ kind, text }) => kind === 'notEvaluable' && /temperature/i.test(text),
    );
    expect(weekly).toHaveLength(1);
    expect(evening.board.cards).toEqual([]);
  });

  test('8: a film processed at 23:59 and read at 00:01 belongs to the day it was processed on', () => {
    const stage = story(brackenfold, '2026-03-02T06:00', (t) => {
      t.exposed('2026-03-02T23:40', 'late', 'R1');
      t.run('2026-03-02T23:59', 'M1', { films: ['late'], temperature: fahrenheit(68), time: minutes('5:00') });
      t.reviewed('2026-03-03T00:01', { film: 'late' }, { grade: 'acceptable' });
    });
    const monday = stage.asOf('2026-03-03T00:00');
    const tuesday = stage.asOf('2026-03-03T23:00');
    // What the day asks of a day with films (a strip first) is asked of Monday alone.
    const dailyOf = (seen: typeof monday) =>
      seen.findings.filter(({ kind, openedAt }) => kind === 'duty' && openedAt >= stage.instant('2026-03-02T00:00'));
    expect(brief(dailyOf(monday))).not.toEqual([]);
    expect(dailyOf(tuesday).map(({ id }) => id)).toEqual(dailyOf(monday).map(({ id }) => id));
    expect(monday.state.lines['M1']?.day.films).toBe(0);
  });
});
