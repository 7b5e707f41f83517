import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import type { Evaluation } from '../../src/engine/checks.js';
import { catalogue, eventTypes, type EventType } from '../../src/events/catalogue.js';
import { facts } from '../../src/packs/facts.js';
import { rateFacts, trendFacts } from '../../src/packs/followed-facts.js';
import { fieldsOf } from '../../src/packs/eventFields.js';
import { dutyFacts, freshFacts, keptFacts, suppliesFor, suppliesOf, type Supply } from '../../src/packs/supply.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { long } from '../oracle/settings.js';
import { Office } from './office.js';
import { dataOf, isValid, optionalFields } from './sent.js';

const ofOtherRules = new Set([...dutyFacts, ...trendFacts, ...rateFacts]);
const ofChecks = [...facts.values()].filter(({ name }) => !ofOtherRules.has(name));
const idOf = (fact: string) => fact.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`).replaceAll('.', '-');

/** One check a fact, on every event: it is true as soon as the fact is known. */
const packOf = (name: string, some: typeof ofChecks) => `pack: test/${name}
layer: practice
checks:
${some
  .map(
    ({ name }) => `  - id: ${idOf(name)}
    title: ${name}
    on: [${eventTypes.join(', ')}]
    about: site
    when: { fact: ${name}, operator: equal, value: { fact: ${name} } }
    severity: advice
    say: known
    $tests
`,
  )
  .join('')}`;
const half = Math.ceil(ofChecks.length / 2);
const packs = [packOf('facts', ofChecks.slice(0, half)), packOf('more-facts', ofChecks.slice(half))];

/** Known of every line from its set-up on, if only as a no: nothing has to supply them. */
const known = ['line.method', 'line.makersSheet', 'line.filmsToday', 'fixer.clearingTimeKnown'];

/** Events that name the line, or the lot, and say little else. */
const witnesses: readonly (readonly [EventType, Record<string, unknown>])[] = [
  ['film.processed', { line: 'M1', method: 'manual', count: 1 }],
  ['bath.measured', { line: 'M1', bath: 'wash', level: 'full' }],
  ['film.exposed', { tube: 'R1', lot: 'LOT-88' }],
];

const lines = ['M1', 'A1'].map((id) => ({ id, method: id === 'M1' ? 'manual' : 'automatic' }));
const office = new Office(packs, 'America/Chicago', { lines });
const configured = office.events.slice(0, 1);

/** What each event told made of the check of one fact, and what is kept as not evaluable at the end. */
function judged(fact: string, told: readonly (readonly [string, Record<string, unknown>])[]) {
  office.events.length = 0;
  if (told[0]?.[0] !== 'site.configured') office.events.push(...configured);
  const ids = told.map(([type, data], index) => {
    const named = 'line' in data && type !== 'site.configured' ? { ...data, line: 'M1' } : data;
    const minute = String(index).padStart(2, '0');
    return office.add(`2026-03-02T08:${minute}`, type, named, `t-${minute}`).id;
  });
  const results: (boolean | undefined)[] = [];
  const probe = ({ check, result }: Evaluation) => {
    if (check.title === fact) results.push(result);
  };
  const { state } = foldSite(office.events, office.book, undefined, probe);
  const gap = ['facts', 'more-facts']
    .map((name) => state.unevaluable[`test/${name}/${idOf(fact)}|site`])
    .find((one) => one);
  return { results: results.slice(-ids.length), gap };
}

const setUp = { name: 'Test office', zone: 'America/Chicago', jurisdictions: ['us'], lines, tubes: [{ id: 'R1' }] };

/** Every way the event may be sent: as it is told to a person, with any other fields it can carry. */
function sentWays(supply: Supply): fc.Arbitrary<Record<string, unknown>> {
  if (supply.event === 'site.configured') return fc.constant(setUp);
  const optional = optionalFields(supply.event as EventType);
  const valid = (also: string[]) => isValid(supply.event, dataOf(supply, also));
  return fc
    .subarray(optional)
    .filter(valid)
    .map((also) => dataOf(supply, also));
}

describe('the fact catalogue says what to send (L19)', () => {
  const cases = ofChecks.flatMap(({ name }) => suppliesOf(name).map((supply) => [name, supply] as const));

  test('for every fact, by events and fields that exist', () => {
    for (const [name, { event, with: words = {}, fields = [] }] of cases) {
      expect([name, facts.get(name)?.fedBy]).toEqual([name, expect.arrayContaining([event])]);
      const own = fieldsOf(event).map((field) => field.name);
      for (const field of [...Object.keys(words), ...fields])
        expect([name, own]).toEqual([name, expect.arrayContaining([field])]);
    }
    for (const name of [...keptFacts, ...dutyFacts, ...freshFacts.keys()]) expect(facts.has(name)).toBe(true);
  });

  // What something else has to be on record for is not supplied by its event alone.
  test.each(cases.filter(([, { once }]) => once === undefined))('%s is supplied by %j', (name, supply) => {
    const before = witnesses.filter(([type]) => !facts.get(name)?.fedBy.includes(type));
    expect(before.length).toBeGreaterThan(0);
    fc.assert(
      fc.property(sentWays(supply), (data) => {
        const told = [supply.event, data] as const;
        const first = supply.event === 'site.configured' ? [] : before;
        if (!known.includes(name)) {
          const { results, gap } = judged(name, first);
          expect(results).toEqual(first.map(() => undefined));
          expect(gap?.missing).toEqual([{ fact: name, why: 'missing' }]);
        }
        const at = judged(name, [...first, told]);
        const then = judged(name, [...first, told, ...witnesses]).results.slice(first.length + 1);
        if (keptFacts.has(name)) {
          expect([at.results.at(-1), ...then]).toContain(true);
        } else {
          expect(at).toMatchObject({ results: [...first.map(() => undefined), true], gap: undefined });
          witnesses.forEach(([type], index) => {
            if (!facts.get(name)?.fedBy.includes(type)) expect([type, then[index]]).toEqual([type, undefined]);
          });
        }
      }),
      { numRuns: long ? 60 : 3 },
    );
  });

  test.each(cases.filter(([name]) => !known.includes(name)))('%s: nothing less than %j does', (name, supply) => {
    const { fields = [], with: words = {}, event } = supply;
    const less: Record<string, unknown>[] = fields.map((field) =>
      dataOf({ ...supply, fields: fields.filter((other) => other !== field) }),
    );
    for (const [field, word] of Object.entries(words)) {
      const others = fieldsOf(event).find((each) => each.name === field)?.words ?? [];
      for (const other of others.filter((each) => each !== word))
        less.push(dataOf({ ...supply, with: { ...words, [field]: other } }));
    }
    const last = [witnesses[0], witnesses[2]].flatMap((one) => (one === undefined ? [] : [one]));
    const silent = last.filter(([type]) => keptFacts.has(name) || !facts.get(name)?.fedBy.includes(type));
    for (const data of less.filter((each) => isValid(event, each)))
      expect(judged(name, [[event, data], ...silent]).results).toEqual([undefined, ...silent.map(() => undefined)]);
  });
});

test('the catalogue has an event for each type that a fact names', () => {
  for (const { fedBy } of facts.values()) for (const type of fedBy) expect(Object.hasOwn(catalogue, type)).toBe(true);
});

test('a check is told only what it would hear of, or what stays known until it is met again', () => {
  const events = (fact: string, ...on: string[]) => suppliesFor(fact, on).map(({ event }) => event);
  expect(events('run.fixer.time', 'film.processed')).toEqual(['film.processed']);
  expect(events('run.fixer.time', 'film.processed', 'film.refixed')).toEqual(['film.processed', 'film.refixed']);
  expect(events('developer.temperature', 'film.processed')).toEqual(['bath.measured', 'day.opened']);
  expect(events('run.developer.temperature', 'day.opened')).toEqual(['bath.measured', 'day.opened']);
  expect(events('run.developer.temperature', 'film.processed')).toContain('film.processed');
});
