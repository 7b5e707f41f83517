import { isMap, isScalar } from 'yaml';
import { facts as catalogue } from '../facts.js';
import { severities, topicKinds } from '../model.js';
import type { ExpectedFinding, Period, Quantity, RuleTest } from '../model.js';
import {
  count,
  entriesOf,
  flag,
  list,
  mapping,
  near,
  oneOrMore,
  optional,
  plain,
  required,
  text,
  word,
} from './decode.js';
import type { Decoder } from './decode.js';
import { contentCaps } from './caps.js';
import { oneOf, quoted } from './diagnostic.js';
import { checkData, eventType } from './events.js';
import type { PackContext } from './rules.js';
import { technique } from './techniques.js';
import { fact, period, quantity, quantityOf, testTime } from './values.js';
import { fault, within } from './spot.js';
import type { Spot } from './spot.js';

/** Whether a test has a clock that relative times count from. */
type Clock = 'given' | 'none';

type TestEvent = RuleTest['events'][number];

/**
 * `{ film.processed: { at: ..., line: M1, ... } }`: one key, the type; quantities stay as written. With `repeat: 8` and
 * `every: 1 d` it is eight events, a day apart.
 */
const testEvent =
  (clock: Clock): Decoder<readonly TestEvent[]> =>
  (spot) => {
    const entries = entriesOf(spot);
    const first = entries?.[0];
    if (entries === undefined) return undefined;
    if (first === undefined || entries.length !== 1)
      return fault(spot, 'wrong-type', 'An event of a test has one key, its type: { TYPE: { at: TIME, ... } }.');
    const type = eventType(spot.reading.spot(first.keyNode, first.keyNode, first.value.path, spot.name));
    const fields = entriesOf(first.value);
    if (fields === undefined) return undefined;
    const at = fields.find((field) => field.key === 'at');
    if (at === undefined)
      return fault(first.value, 'missing-field', `The event ${first.key} needs at, the time it happened.`);
    const time = testTime(clock)(at.value);
    const data = Object.fromEntries(
      fields.filter(({ key }) => !['at', 'repeat', 'every'].includes(key)).map(({ key, value }) => [key, plain(value)]),
    );
    if (type !== undefined) checkData(first.value, type, data);
    const repeated = repeats(first.value, fields);
    if (type === undefined || time === undefined || repeated === undefined) return undefined;
    return repeated.map((after) => ({ type, time, ...(after === undefined ? {} : { after }), data }));
  };

/** How long after its time each of the events is. */
function repeats(spot: Spot, fields: readonly { key: string; value: Spot }[]): (Period | undefined)[] | undefined {
  const [times, every] = ['repeat', 'every'].map((name) => fields.find(({ key }) => key === name)?.value);
  if (times === undefined && every === undefined) return [undefined];
  if (times === undefined || every === undefined)
    return fault(spot, 'missing-field', `${spot.name} needs repeat and every together: repeat: 8, every: 1 d.`);
  const many = count(times);
  const apart = period(every);
  if (many === undefined || apart === undefined) return undefined;
  if (many < 1 || many > contentCaps.eventsOfATest)
    return fault(times, 'test-wrong', `repeat is 1 to ${contentCaps.eventsOfATest} events, not ${many}.`);
  return Array.from({ length: many }, (_, index) =>
    index === 0 ? undefined : { ...apart, count: index * apart.count },
  );
}

/** A rule by its full id, or by its name within this pack. */
const ruleName =
  ({ pack, references }: PackContext): Decoder<string> =>
  (spot) => {
    const name = text(spot);
    if (name === undefined) return undefined;
    const full = name.includes('/') ? name : `${pack ?? ''}/${name}`;
    references.rule(spot, full);
    return full;
  };

/** A kind and a name: `line M1`, `run 2`; the name may be left out. */
const subject: Decoder<string> = (spot) => {
  const value = text(spot);
  if (value === undefined) return undefined;
  const [kind = ''] = value.split(' ', 1);
  if ((topicKinds as readonly string[]).includes(kind)) return value;
  return fault(
    spot,
    'unknown-word',
    `${quoted(kind)} is not what a finding is about; it is ${oneOf(topicKinds)}, then which: line M1, run 2.`,
    { ...near(kind, topicKinds), at: within(spot, kind) },
  );
};

/** Facts by name, each in a unit of its own kind; a bound by `limit.NAME`, a quantity or the words that say it. */
const values =
  ({ references }: PackContext): Decoder<NonNullable<ExpectedFinding['values']>> =>
  (spot) => {
    const entries = entriesOf(spot);
    if (entries === undefined) return undefined;
    const read: [string, Quantity | string | boolean][] = [];
    for (const { key, keyNode, value } of entries) {
      const at = spot.reading.spot(keyNode, keyNode, value.path, key);
      const got = key.startsWith('limit.') ? (references.limit(at, key.slice(6)), bound(value)) : ofFact(at, value);
      if (got !== undefined) read.push([key, got]);
    }
    return read.length === entries.length ? Object.fromEntries(read) : undefined;
  };

/** `3.5 min`, a plain number, or words such as "60 days". */
const bound: Decoder<Quantity | string> = (spot) => {
  if (isMap(spot.node)) return quantity(spot);
  const value = isScalar(spot.node) ? spot.node.value : undefined;
  if (typeof value === 'number') return { value, unit: '1', canonical: value };
  const { diagnostics } = spot.reading;
  const before = diagnostics.length;
  const read = quantity(spot);
  if (read !== undefined) return read;
  diagnostics.length = before;
  return text(spot);
};

function ofFact(name: Spot, value: Spot): Quantity | string | boolean | undefined {
  const known = fact(name);
  if (known === undefined) return undefined;
  if (known.kind === 'flag') return flag(value);
  if (known.kind !== 'text') return quantityOf(known)(value);
  return known.words === undefined ? text(value) : word(catalogue.get(known.name)?.words ?? [])(value);
}

const expected = (context: PackContext, clock: Clock): Decoder<ExpectedFinding> => {
  const fields = {
    rule: optional(ruleName(context)),
    subject: optional(subject),
    line: optional(text),
    severity: optional(word(severities)),
    status: optional(word(['open', 'acknowledged', 'cleared', 'resolved', 'lapsed'])),
    opened: optional(testTime(clock)),
    occurrences: optional(count),
    films: optional(count),
    says: optional(text),
    values: optional(values(context)),
  };
  return (spot) => mapping(spot, fields)?.whole;
};

/** The parts of a site that a test may change. */
const siteShape = {
  name: optional(plain),
  zone: optional(plain),
  jurisdictions: optional(plain),
  lines: optional(plain),
  tubes: optional(plain),
  workingDays: optional(plain),
};
const site: Decoder<Readonly<Record<string, unknown>>> = (spot) => mapping(spot, siteShape)?.whole;

function shape(context: PackContext, clock: Clock) {
  return {
    name: required(text),
    kind: required(word(['fires', 'silent', 'boundary'])),
    rules: optional(oneOrMore(ruleName(context))),
    site: optional(site),
    clock: optional(testTime('itself')),
    techniques: optional(list(technique(context.source))),
    events: required(list(testEvent(clock), (index) => `event ${index + 1}`)),
    until: optional(testTime(clock)),
    expect: optional(list(expected(context, clock), (index) => `expected finding ${index + 1}`)),
  };
}

const ruleTest =
  (context: PackContext): Decoder<RuleTest> =>
  (spot) => {
    const clock = isMap(spot.node) && spot.node.has('clock') ? 'given' : 'none';
    const got = mapping(spot, shape(context, clock));
    if (got === undefined) return undefined;
    const { kind, expect } = got.values;
    const some = (expect?.length ?? 0) > 0;
    if (kind === 'fires' && !some && (expect !== undefined || !got.has('expect')))
      fault(got.at('kind'), 'test-wrong', 'A test that fires expects at least one finding.');
    if (kind === 'silent' && some)
      fault(got.at('expect'), 'test-wrong', 'A silent test expects no finding: expect is [].');
    if (kind === 'boundary' && !got.has('expect'))
      fault(spot, 'missing-field', 'A test at the boundary needs expect: the findings, or [] for none.');
    if (got.whole === undefined) return undefined;
    const { site: own, expect: findings, events: written, ...rest } = got.whole;
    const events = written.flat();
    // What is written out is counted with the whole file.
    if (written.length <= contentCaps.eventsOfATest && events.length > contentCaps.eventsOfATest)
      return fault(
        spot,
        'too-large',
        `${spot.name} has ${events.length} events; the cap is ${contentCaps.eventsOfATest}.`,
      );
    return { ...rest, events, site: own ?? {}, expect: findings ?? [] };
  };

/** A rule's own tests. */
export function ruleTests(context: PackContext): Decoder<readonly RuleTest[]> {
  return list(ruleTest(context), (index) => `test ${index + 1}`);
}

/** Tests of a pack: what rules of other packs find by its limits and charts. */
export function packTests(context: PackContext): Decoder<readonly RuleTest[]> {
  const read = ruleTest(context);
  return list(
    (spot) => {
      const test = read(spot);
      return test === undefined || test.rules !== undefined
        ? test
        : fault(spot, 'missing-field', `${spot.name} of the pack needs rules: those whose findings it speaks of.`);
    },
    (index) => `test ${index + 1}`,
  );
}
