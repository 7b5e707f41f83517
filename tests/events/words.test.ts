import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { catalogue, eventTypes } from '../../src/events/catalogue.js';
import { faultSentence } from '../../src/events/faults.js';
import { faultsOf } from './faults-of.js';
import { exampleOf } from './generate.js';

/** Faults read aloud: pointer and message are one sentence, or the message is a sentence of its own. */

const processed = (data: object) => ({
  ...exampleOf('film.processed'),
  data: { ...exampleOf('film.processed').data, ...data },
});
const of = (type: Parameters<typeof exampleOf>[0], data: object) => ({ ...exampleOf(type), data });
const said = (event: unknown) => faultsOf(event).map((fault) => faultSentence(fault));

describe('each fault is a sentence', () => {
  test.each<[unknown, string]>([
    ['film', 'The event must be a JSON object.'],
    [{ ...exampleOf('bath.measured'), data: undefined }, '/data is required: an object with what happened.'],
    [
      { ...exampleOf('bath.measured'), type: 'bath.mesured' },
      '/type is "bath.mesured", which is not an event type; did you mean "bath.measured"?',
    ],
    [
      { ...exampleOf('bath.measured'), Line: 'M1' },
      '/Line cannot be an attribute: names are lower-case letters and digits, and fields of the event belong in "data".',
    ],
    [
      of('equipment.cleaned', { line: 'A1', part: 'tank', temprature: 1 }),
      '/data/temprature is not a field here; the fields are line, part, by and note.',
    ],
    [processed({ rinse: { seconds: 30 } }), '/data/rinse/seconds is not a field here; the field is time.'],
    [
      of('testfilm.read', { line: 'M1', kind: 'fresh', asExpected: true, density: 'x' }),
      '/data/density must be another kind of value (its optical density: a plain number, or a quantity of unit "1").',
    ],
    [processed({ devloper: {} }), '/data/devloper is not a field here; did you mean "developer"?'],
    [
      processed({ patientName: 'x' }),
      '/data/patientName asks who the patient is, which is never taken; "patient" holds an opaque token, where there is one.',
    ],
    [processed({ count: 9, films: ['F-1'] }), '/data/count differs from the number of films listed; leave it out.'],
    [processed({ films: [] }), '/data/films must have at least 1 item.'],
    [processed({ count: 0 }), '/data/count must be at least 1.'],
    [processed({ note: '' }), '/data/note must have at least 1 character.'],
    [processed({ note: 'x'.repeat(501) }), '/data/note must have at most 500 characters.'],
    [
      processed({ note: 'call 555-123-4567' }),
      "/data/note looks like a patient's telephone number, and patient identity is never taken; take it out and send the event again.",
    ],
    [of('bath.measured', { line: 'M1', bath: 'developer' }), '/data must have temperature or level.'],
    [of('film.reviewed', { signs: [] }), '/data must have film or run, and not both.'],
    [of('film.reviewed', { signs: [], film: 'F-1', run: 'e-1' }), '/data must have film or run, and not both.'],
    [of('finding.acknowledged', {}), '/data must name the finding, or its rule, topic and an instant.'],
    [
      of('film.exposed', { tube: 'R1', time: { value: 1, unit: 's' }, pulses: 3 }),
      '/data may have time or pulses, not both.',
    ],
    [processed({ x: [[[[[[[[[[[[]]]]]]]]]]]] }), 'is nested deeper than 12 levels.'],
    [processed({ note: 'é'.repeat(70_000) }), 'The event is larger than 64 KiB.'],
  ])('case %#: %j', (event, sentence) => {
    expect(said(event)).toEqual(expect.arrayContaining([expect.stringContaining(sentence)]));
  });
});

test('a value of another kind is told once, not by its length too', () => {
  const sent = exampleOf('site.configured');
  sent.data.jurisdictions = 'x'.repeat(1000);
  expect(said(sent)).toEqual(['/data/jurisdictions must be a list.']);
});

/** What a message may begin with to continue a pointer; a capital begins a sentence of its own. */
const begins = /^(?:is|must|may|cannot|looks|contains|asks|differs|comes|\p{Lu}\p{Ll}+) /u;

test('whatever is broken in an event, each fault reads on from its pointer', () => {
  const junk = fc.oneof(fc.constantFrom(null, '', -1, 1e9, true, 'x y', [], {}, { value: 1, unit: 'foot' }), fc.json());
  fc.assert(
    fc.property(
      fc
        .constantFrom(...eventTypes)
        .chain((type) => fc.tuple(fc.constant(type), fc.subarray(Object.keys(catalogue[type].schema.shape)), junk)),
      fc.boolean(),
      ([type, names, value], drop) => {
        const event = exampleOf(type);
        for (const name of names) {
          if (drop) delete event.data[name];
          else event.data[name] = value;
        }
        for (const { message } of faultsOf(event)) expect(message).toMatch(begins);
      },
    ),
    { numRuns: 2000 },
  );
});
