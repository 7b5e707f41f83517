import { describe, expect, test } from '@jest/globals';
import { offices } from '../../src/cli/demo/offices.js';
import { season } from '../../src/cli/demo/season.js';
import { toldWeeks } from '../../src/cli/demo/weeks/index.js';
import { board } from '../../src/engine/board.js';
import type { Finding } from '../../src/engine/finding.js';
import { severities } from '../../src/packs/model.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { long } from '../oracle/settings.js';
import { brief, decoded, shipped, Stage } from './stage.js';

const strong = (findings: readonly Finding[]): Finding[] =>
  findings.filter(({ severity }) => severities.indexOf(severity) > 0);

/** What each told week finds by itself, before anything ordinary is laid around it. */
const told = toldWeeks().flatMap((week) => {
  const dates = week.events.map(({ time }) => time.slice(0, 10)).sort();
  return strong(
    new Stage(week.office, `${dates[0]}T00:00`, week.events).asOf(`${dates.at(-1)}T23:59`).findings as Finding[],
  );
});
/** Every fourth Friday, for speed. */
function weekEnds(from: number, to: number): number[] {
  const friday = Date.parse('2026-01-10T04:00:00Z');
  return Array.from({ length: 15 }, (_, n) => friday + n * 28 * 86_400_000).filter((at) => at > from && at <= to);
}
/** What and when; not the id, which for an omission hangs on the event before it. */
const key = ({ rule, line, openedAt }: Finding): string => `${rule} ${line} ${openedAt}`;
const toldKeys = new Set(told.map(key));

/** One in the everyday suite; a thorough run adds two. */
const isBad = ({ grade, signs }: Readonly<Record<string, unknown>>) =>
  grade === 'unacceptable' && Array.isArray(signs) && signs.length > 0;

describe.each(long ? [1, 2, 3] : [1])('a season of ordinary days, seed %d', (seed) => {
  const { events, end } = season(seed);
  const folded = offices.map((office) =>
    foldSite(events.filter(({ site }) => site === office.id).map(decoded), shipped, end),
  );
  const all = folded.flatMap(({ findings }) => [...findings.values()]);

  test('gives no card: every finding above advice is one that a told week finds by itself', () => {
    expect(brief(strong(all).filter((finding) => !toldKeys.has(key(finding))))).toEqual([]);
  });

  test('takes nothing from the told weeks: all that they find is found in the season too', () => {
    const seen = new Set(all.map(key));
    expect(brief(told.filter((finding) => !seen.has(key(finding))))).toEqual([]);
    expect(told.length).toBeGreaterThanOrEqual(8);
  });

  test('leaves no gaps: on a Friday evening hardly anything waits for a record, and never for the other kind of test', () => {
    const waiting = offices.flatMap((office) => {
      const own = events.filter(({ site }) => site === office.id).map(decoded);
      return weekEnds(own[0]?.at ?? end, end).map((at) => {
        const { state } = foldSite(
          own.filter((event) => event.at <= at),
          shipped,
          at,
        );
        return board(state, at, shipped).weekly.filter(({ kind }) => kind === 'notEvaluable');
      });
    });
    expect(waiting.length).toBeGreaterThan(30);
    // Some told weeks write down no more of a run than its developing; nothing else is ever missing.
    const texts = waiting.flat().map(({ text }) => text);
    expect(texts.filter((text) => !text.includes('time in the fixer'))).toEqual([]);
    expect(texts.length * 10).toBeLessThanOrEqual(waiting.length);
  });

  test('is calm: hardly any advice, and nothing that the state had to drop', () => {
    const advice = all.filter((finding) => !strong(all).includes(finding));
    // The ranking of causes comes with every film that was not acceptable and shows a sign (law L17), and with no other.
    const rankings = advice.filter(({ rule }) => rule === 'defects/why/causes');
    const bad = events.filter(({ type, data }) => type === 'film.reviewed' && isBad(data));
    expect(advice.length - rankings.length).toBeLessThanOrEqual(8);
    expect(rankings.length).toBeLessThanOrEqual(bad.length);
    // A film that is looked at twice is one film.
    const films = new Set(bad.map(({ site, data }) => `${site} ${String(data['film'])}`));
    expect(rankings.reduce((sum, finding) => sum + finding.films, 0)).toBe(films.size);
    for (const { state } of folded) expect(state.dropped).toEqual({});
  });
});
