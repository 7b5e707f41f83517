import { describe, expect, test } from '@jest/globals';
import { Teller } from '../../src/cli/demo/teller.js';
import { coldTuesday } from '../../src/cli/demo/weeks/cold-tuesday.js';
import { causesAt } from '../../src/engine/consult/causes.js';
import { learnedAt } from '../../src/engine/learning.js';
import type { EventType } from '../../src/events/catalogue.js';
import { answered } from '../published/answer.js';
import { Stage } from './stage.js';

const week = coldTuesday();
const opened = '2026-01-15T06:00';
const later = '2026-01-21T08:00';

const finding = new Stage(week.office, opened, week.events)
  .asOf('2026-01-20T11:30')
  .findings.find(({ rule }) => rule === 'defects/why/causes');
if (finding === undefined) throw new Error('Nothing was found.');
const { id } = finding;

/** The week, and what people said of its finding afterwards. */
function said(...acts: readonly (readonly [string, EventType, Record<string, unknown>])[]) {
  const people = new Teller(week.office, 'people');
  for (const [at, type, data] of acts) people.tell(at, type, { finding: id, ...data });
  const stage = new Stage(week.office, opened, [...week.events, ...people.events]);
  const { state } = stage.asOf(later);
  const at = stage.instant(later);
  const found = causesAt(state, at, stage.book, { signs: ['light_image'] });
  if (found === undefined) throw new Error('There is no site.');
  const cold = answered(found).causes.find((one) => one.cause.id === 'dev_cold');
  return { learned: learnedAt(state, at, stage.book), cold };
}

describe('a confirmed cause', () => {
  const plain = said();

  test('nobody confirmed anything: exactly the published priors', () => {
    expect(plain.learned).toEqual({ causes: [], lessons: [] });
    expect(plain.cold?.prior).toBe(plain.cold?.cause.prior);
  });

  test('it counts once for eleven films, moves the prior and says from what to what', () => {
    const { learned, cold } = said(['2026-01-20T12:00', 'cause.confirmed', { rootCause: 'dev_cold' }]);
    expect(learned?.causes).toMatchObject([{ cause: 'dev_cold', group: 0 }]);
    const [one] = learned?.causes ?? [];
    expect(one?.site).toBeGreaterThan(0.99);
    expect(one?.site).toBeLessThanOrEqual(1);
    const [lesson] = learned?.lessons ?? [];
    expect(lesson).toMatchObject({ finding: id, cause: 'dev_cold', before: one?.published });
    expect(lesson?.after).toBeGreaterThan(lesson?.before ?? 1);
    expect(cold?.probability).toBeGreaterThan(plain.cold?.probability ?? 1);
  });

  test('said otherwise later it counts for that, and for nothing else', () => {
    const { learned } = said(
      ['2026-01-20T12:00', 'cause.confirmed', { rootCause: 'dev_cold' }],
      ['2026-01-20T13:00', 'finding.resolved', { rootCause: 'dev_exhausted', action: 'changed' }],
    );
    expect(learned?.causes.map(({ cause }) => cause)).toEqual(['dev_exhausted']);
    expect(learned?.lessons).toHaveLength(1);
  });

  test('words that are no cause of the packs teach nothing, and take back what was taught', () => {
    const { learned, cold } = said(
      ['2026-01-20T12:00', 'cause.confirmed', { rootCause: 'dev_cold' }],
      ['2026-01-20T13:00', 'cause.confirmed', { rootCause: 'heater_unplugged' }],
    );
    expect(learned).toEqual({ causes: [], lessons: [] });
    expect(cold?.probability).toBe(plain.cold?.probability);
  });
});
