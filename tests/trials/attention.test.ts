import { describe, expect, test } from '@jest/globals';
import { effective } from '../../src/trials/fold-site.js';
import { attentionFor, Trial } from '../../src/trials/what-if/index.js';
import { degF, Office } from '../engine/office.js';

const head = 'pack: test/cards\nlayer: practice\n';
const check = (id: string, on: string, when: string, more: string) =>
  `  - { id: ${id}, title: ${id}, on: [${on}], about: line, when: ${when}, say: '${id}', ${more}, $tests }\n`;
const hot = '{ fact: bath.temperature, operator: greaterThan, value: "75 [degF]" }';
const off = '{ fact: wedge.steps, operator: greaterThan, value: 2 }';

/** New cards of an office whose packs are tried from the first event on, up to a local time. */
function cards(office: Office, until: string) {
  const trial = new Trial([], office.book.editions, office.at(until));
  const one = trial.site({});
  for (const event of effective(office.events)) one.step(event);
  const { cards, holds } = one.end(office.at(until));
  return { cards: cards.after, holds: holds.after, before: cards.before };
}
const office = (checks: string, duties = '') =>
  new Office(`${head}${checks && `checks:\n${checks}`}${duties && `duties:\n${duties}`}`, 'America/Chicago');
const measured = (one: Office, local: string, degrees: number) =>
  one.add(local, 'bath.measured', { line: 'M1', bath: 'developer', temperature: degF(degrees) });
const strip = (one: Office, local: string, steps: number) =>
  one.add(local, 'stepwedge.read', { line: 'M1', difference: steps ? { steps, direction: 'lighter' } : { steps } });
const changed = (one: Office, local: string) => one.add(local, 'chemistry.changed', { line: 'M1', bath: 'developer' });

describe('new cards', () => {
  test('one each time it begins; advice is none; what lasts is one', () => {
    const one = office(
      check('hot', 'bath.measured', hot, 'severity: warning') + check('hint', 'bath.measured', hot, 'severity: advice'),
    );
    changed(one, '2026-01-05T07:00');
    measured(one, '2026-01-05T08:00', 80);
    measured(one, '2026-01-05T10:00', 81);
    expect(cards(one, '2026-01-06T00:00')).toEqual({ cards: 1, holds: 0, before: 0 });
    measured(one, '2026-01-06T08:00', 70);
    measured(one, '2026-01-07T08:00', 80);
    expect(cards(one, '2026-01-08T00:00').cards).toBe(2);
  });

  test('rules of one cause share a card while it lies there', () => {
    const one = office(
      check('hot', 'bath.measured', hot, 'severity: warning, cause: bath') +
        check('strip', 'stepwedge.read', off, 'severity: warning, cause: bath'),
    );
    changed(one, '2026-01-05T07:00');
    measured(one, '2026-01-05T08:00', 80);
    strip(one, '2026-01-05T09:00', 3);
    expect(cards(one, '2026-01-06T00:00').cards).toBe(1);
    measured(one, '2026-01-06T08:00', 70);
    measured(one, '2026-01-06T09:00', 80);
    // The strip still holds the card.
    expect(cards(one, '2026-01-07T00:00').cards).toBe(1);
  });

  test('a hold is counted apart', () => {
    const one = office(check('strip', 'stepwedge.read', off, 'severity: standard, hold: line'));
    strip(one, '2026-01-05T09:00', 3);
    expect(cards(one, '2026-01-06T00:00')).toMatchObject({ cards: 0, holds: 1 });
  });

  test('what was left undone is one once it is announced, unless it was done by then', () => {
    const duty =
      "  - { id: strip, title: Strip, must: { event: stepwedge.read }, per: site, every: 2 d, counts: always, severity: warning, say: 'No strip', $tests }\n";
    const one = office('', duty);
    strip(one, '2026-01-05T08:00', 0);
    // Due at the end of Wednesday; announced a day later.
    expect(cards(one, '2026-01-08T12:00').cards).toBe(0);
    expect(cards(one, '2026-01-09T12:00').cards).toBe(1);
    strip(one, '2026-01-08T20:00', 0);
    expect(cards(one, '2026-01-09T12:00').cards).toBe(0);
  });
});

describe('the budget', () => {
  const of = (site: string, before: number, after: number, weeks = 1) => ({
    ...{ site, weeks, cards: { before, after } },
    holds: { before: 0, after: 9 },
  });
  test.each([
    ['three a week are within it', [of('a', 0, 3)], false],
    ['a fourth is over it', [of('a', 0, 4)], true],
    ['so many as before, or fewer, are not held against the change', [of('a', 6, 6), of('b', 6, 5)], false],
    ['one office of many is enough', [of('a', 0, 0), of('b', 0, 1), of('c', 1, 7)], true],
    ['it is a mean: seven in two weeks are over it', [of('a', 0, 7, 2)], true],
    ['six in two weeks are within it', [of('a', 0, 6, 2)], false],
    ['less than a week counts as one', [of('a', 0, 3, 0.2)], false],
  ])('%s', (_what, offices, over) => {
    expect(attentionFor(offices).overBudget).toBe(over);
  });

  test('weeks in which nothing was recorded, or that were before the packs stand, do not thin the cards out', () => {
    const one = office(check('hot', 'bath.measured', hot, 'severity: warning'));
    const mornings = Array.from({ length: 5 }, (_, n) => `2026-06-0${n + 1}`);
    measured(one, '2026-01-05T08:00', 80);
    measured(one, '2026-01-05T09:00', 70);
    for (const day of mornings) {
      measured(one, `${day}T08:00`, 80);
      measured(one, `${day}T09:00`, 70);
    }
    const run = (since?: number) => {
      const until = one.at('2026-06-06T00:00');
      const site = new Trial([], one.book.editions, until, since).site({});
      for (const event of effective(one.events)) site.step(event);
      return site.end(until);
    };
    expect(run()).toMatchObject({ weeks: 2, cards: { after: 6 } });
    expect(attentionFor([run()]).overBudget).toBe(false);
    const late = run(one.at('2026-05-20T00:00'));
    expect(late).toMatchObject({ weeks: 1, cards: { after: 5 } });
    expect(attentionFor([late]).overBudget).toBe(true);
  });

  test('the mean is of offices and weeks, the busiest is named, and of nothing nothing is said', () => {
    expect(attentionFor([of('a', 1, 2, 2), of('b', 0, 4, 2)])).toEqual({
      ...{ offices: 2, weeks: 2, overBudget: false },
      cardsPerWeek: { before: 0.25, after: 1.5 },
      holdsPerWeek: { before: 0, after: 4.5 },
      busiest: { site: 'b', before: 0, after: 2 },
    });
    expect(attentionFor([])).toMatchObject({ offices: 0, cardsPerWeek: { before: 0, after: 0 }, overBudget: false });
  });
});
