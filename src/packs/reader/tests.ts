import { severities } from '../model.js';
import type { ExpectedFinding, RuleTest } from '../model.js';
import { count, entriesOf, list, mapping, optional, plain, required, text, word } from './decode.js';
import type { Decoder } from './decode.js';
import { checkData, eventType } from './events.js';
import { instant } from './values.js';
import { fault } from './spot.js';

type TestEvent = RuleTest['events'][number];

/** `{ film.processed: { at: ..., line: M1, ... } }`: one key, the type; quantities stay as written. */
const testEvent: Decoder<TestEvent> = (spot) => {
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
  const time = instant(at.value);
  const data = Object.fromEntries(
    fields.filter((field) => field !== at).map(({ key, value }) => [key, plain(value)] as const),
  );
  if (type !== undefined) checkData(first.value, type, data);
  return type === undefined || time === undefined ? undefined : { type, time, data };
};

const expected: Decoder<ExpectedFinding> = (spot) =>
  mapping(spot, {
    severity: optional(word(severities)),
    status: optional(word(['open', 'acknowledged', 'cleared', 'resolved', 'lapsed'])),
    opened: optional(instant),
    occurrences: optional(count),
    says: optional(text),
  })?.whole;

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

const shape = {
  name: required(text),
  kind: required(word(['fires', 'silent', 'boundary'])),
  site: optional(site),
  events: required(list(testEvent, (index) => `event ${index + 1}`)),
  until: optional(instant),
  expect: optional(list(expected, (index) => `expected finding ${index + 1}`)),
};

const ruleTest: Decoder<RuleTest> = (spot) => {
  const got = mapping(spot, shape);
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
  return {
    name: got.whole.name,
    kind: got.whole.kind,
    site: got.whole.site ?? {},
    events: got.whole.events,
    ...(got.whole.until === undefined ? {} : { until: got.whole.until }),
    expect: got.whole.expect ?? [],
  };
};

/** A rule's own tests. */
export const ruleTests: Decoder<readonly RuleTest[]> = list(ruleTest, (index) => `test ${index + 1}`);
