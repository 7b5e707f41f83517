import { describe, expect, test } from '@jest/globals';
import { coldTuesday } from '../../src/cli/demo/weeks/cold-tuesday.js';
import { hotWeek } from '../../src/cli/demo/weeks/hot-week.js';
import { alikeView } from '../../src/api/views/alike.js';
import { causesAt } from '../../src/engine/consult/causes.js';
import { answered } from '../published/answer.js';
import { Stage } from './stage.js';

/** What was asked of each film of a review, as of the minute it was reviewed. */
function ranked(stage: Stage, local: string, signs: readonly ['dark_image' | 'light_image'], nth = 0) {
  const { data } = stage.event('film.reviewed', local, nth) as unknown as { data: { film: string; extent: 'run' } };
  const { state } = stage.asOf(local);
  const found = causesAt(state, stage.instant(local), stage.book, {
    signs: [...signs],
    film: data.film,
    extent: data.extent,
  });
  if (found === undefined) throw new Error('There is no site.');
  return answered(found);
}
const ids = ({ causes }: ReturnType<typeof ranked>) => causes.map(({ cause }) => cause.id);
const chance = ({ causes }: ReturnType<typeof ranked>, id: string) =>
  causes.find(({ cause }) => cause.id === id)?.probability ?? 0;

describe('the hot week: four dark films on Wednesday', () => {
  const week = hotWeek();
  const stage = new Stage(week.office, '2026-06-22T06:00', week.events);
  const answer = ranked(stage, '2026-07-15T15:40', ['dark_image']);

  test('the time first, by the numbers of their own run; the warm bath second; the exposure well behind', () => {
    expect(ids(answer).slice(0, 2)).toEqual(['dev_time_long', 'dev_hot']);
    expect(chance(answer, 'overexposure')).toBeLessThan(0.3 * chance(answer, 'dev_time_long'));
    const [first] = answer.causes;
    expect(first?.evidence.map(({ text }) => text)).toContain(
      'It was developed for 1.67 of the time of the chart: 5:00 at 76 F, which asks for 3:00.',
    );
    expect(first?.cause.salvage).toContain('bright light');
  });
});

describe('cold Tuesday: eleven light films, before anybody read the thermometer', () => {
  const week = coldTuesday();
  const stage = new Stage(week.office, '2026-01-15T06:00', week.events);
  const answer = ranked(stage, '2026-01-20T09:05', ['light_image']);

  test('the developer before the exposure; after the reading the cold bath leads', () => {
    const processing = ['dev_cold', 'dev_time_short', 'dev_exhausted'];
    expect(ids(answer).slice(0, 3).sort()).toEqual([...processing].sort());
    expect(chance(answer, 'underexposure')).toBeLessThan(Math.min(...processing.map((id) => chance(answer, id))));
    const { alike } = answer;
    if (alike === undefined) throw new Error('No films are alike.');
    const view = alikeView(alike);
    expect(view).toMatchObject({ films: 11, runs: 2, units: 2, people: 2, lines: 1, ofRun: { with: 4, without: 0 } });
    // Nobody is named, whatever they have in common.
    expect(JSON.stringify(view)).not.toMatch(/op-\d/);
    expect(answer.causes.every(({ evidence }) => evidence.every(({ clue }) => clue !== 'temp_log_low'))).toBe(true);
  });
});
