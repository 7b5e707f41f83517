import { expect, test } from '@jest/globals';
import { toldWeeks } from '../../src/cli/demo/weeks/index.js';
import { notYet } from './not-yet.js';
import { Stage, wording } from './stage.js';

/** Everything that the told weeks make the fold say. */
const said = toldWeeks().flatMap((week) => {
  const first = week.events[0];
  const last = week.events.at(-1);
  if (first === undefined || last === undefined) throw new Error(`${week.id} tells nothing`);
  const stage = new Stage(week.office, `${first.time.slice(0, 10)}T00:00`, week.events);
  return stage
    .asOf(`${last.time.slice(0, 10)}T23:59`)
    .findings.map((finding) => ({ week: week.id, text: wording(finding) }));
});

test('the told weeks are heard at all', () => {
  expect(said.length).toBeGreaterThan(5);
});

test.each(notYet.map((item) => [`${item.scenario}: ${item.part}`, item] as const))(
  'still missing, scenario %s',
  (_, item) => {
    const found = said.filter(({ text }) => item.shows.test(text));
    expect(found.map(({ week, text }) => `take it off the list: ${week} says ${text}`)).toEqual([]);
  },
);
