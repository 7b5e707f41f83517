import { DateTime, IANAZone } from 'luxon';
import { decode } from '../events/decode.js';
import type { AnyEvent } from '../events/event.js';
import { PackBook } from '../packs/book.js';
import { asSent } from '../packs/eventFields.js';
import type { Pack, RuleTest } from '../packs/model.js';
import { after, instantOf } from '../packs/test-time.js';
import { difference, differenceOf, type Difference } from './difference.js';
import { foldSite } from './fold-site.js';
import { Judged, vacuous } from './judged.js';

export interface TestOutcome {
  readonly pack: string;
  readonly rule: string;
  readonly test: string;
  readonly kind: RuleTest['kind'];
  /** Why it failed, for a person: a sentence, or expected beside found in lines; undefined when it passed. */
  readonly failure?: string;
  /** The same as data, where what was found is not what was expected. */
  readonly difference?: Difference;
}

/** A test of a pack, and the rules whose findings it speaks of: the first is meant where it names none. */
export interface PackTest {
  readonly pack: Pack;
  readonly test: RuleTest;
  readonly rules: readonly [string, ...string[]];
}

const testZone = 'America/New_York';

/** Run every test that these packs carry, each against its own pack and the others given. */
export function runRuleTests(packs: readonly Pack[], among: readonly Pack[] | PackBook = packs): TestOutcome[] {
  const book = among instanceof PackBook ? among : new PackBook(among);
  return packs.flatMap(testsOf).map((each) => ({
    pack: each.pack.id,
    rule: each.rules[0],
    test: each.test.name,
    kind: each.test.kind,
    ...runOne(each, book),
  }));
}

/** All tests of a pack: those of its rules, then those of the pack itself. */
export function testsOf(pack: Pack): PackTest[] {
  return [
    ...pack.rules.flatMap(({ id, tests }) =>
      tests.map((test): PackTest => ({ pack, test, rules: [id, ...(test.rules ?? []).filter((one) => one !== id)] })),
    ),
    ...(pack.tests ?? []).flatMap((test): PackTest[] => {
      const [first, ...others] = test.rules ?? [];
      return first === undefined ? [] : [{ pack, test, rules: [first, ...others] }];
    }),
  ];
}

/** What a test sends: its site's events, decoded, and the instant that time is advanced to (ms). */
export interface Staged {
  readonly zone: string;
  readonly clock?: number;
  readonly events: readonly AnyEvent[];
  readonly until?: number;
}

/** The events of a test, or why they cannot be sent, as a sentence. */
export function stage({ pack, test }: PackTest): Staged | string {
  const site = { ...testSite(pack), ...test.site };
  const zone = typeof site.zone === 'string' ? site.zone : testZone;
  if (!IANAZone.isValidZone(zone)) return `The site's zone ${JSON.stringify(zone)} is not a time zone.`;
  if (test.events.length === 0 && (test.clock === undefined || test.until === undefined))
    return 'It sends nothing: a test without events needs clock and until, between which time passes.';
  const clock = test.clock === undefined ? undefined : instantOf(test.clock, zone);
  const events = eventsOf(site, test, zone, clock);
  if (typeof events === 'string') return events;
  const until = test.until === undefined ? undefined : instantOf(test.until, zone, clock);
  return { zone, clock, events, until };
}

/** The book that a test is judged by: the packs, and what its office has on the wall. */
export function bookOf({ techniques }: RuleTest, book: PackBook): PackBook {
  if (techniques === undefined) return book;
  const office: Pack = {
    ...{ id: 'test/office', version: '1.0.0', title: 'Test office', authority: 'Test office', layer: 'clinic' },
    ...{ limits: [], charts: [], rules: [], notKnown: [], techniques },
  };
  return new PackBook([...book.editions, office]);
}

function runOne(each: PackTest, book: PackBook): Pick<TestOutcome, 'failure' | 'difference'> {
  const staged = stage(each);
  if (typeof staged === 'string') return { failure: staged };
  const { rules, test } = each;
  const missing = rules.find((rule) => book.rule(rule) === undefined);
  if (missing !== undefined) return { failure: `No pack has the rule ${missing}.` };
  const judged = new Judged();
  const { findings } = foldSite(staged.events, bookOf(test, book), staged.until, judged.probe, judged.look);
  const found = [...findings.values()].filter(({ rule }) => rules.includes(rule));
  if (test.kind === 'fires' && test.expect.length === 0)
    return found.length > 0 ? {} : { failure: 'Expected the rule to fire; it found nothing.' };
  // The first event is the site itself.
  const refs = test.events.map((_, index) => `test/${idOf(index + 1)}`);
  const differs = differenceOf(found, test.expect, { ...staged, refs, book, rule: rules[0] });
  if (differs !== undefined) return { failure: difference(differs), difference: differs };
  const [failure] = rules.flatMap((id) => {
    const rule = test.kind === 'fires' ? undefined : book.rule(id);
    return rule === undefined ? [] : (vacuous(rule, judged, staged) ?? []);
  });
  return failure === undefined ? {} : { failure };
}

/** The test site of docs/packs.md, set up long before the first event. */
function testSite(pack: Pack): Record<string, unknown> {
  const own = pack.jurisdiction;
  return {
    name: 'Test office',
    zone: testZone,
    jurisdictions: own === undefined || own === 'us' ? ['us'] : ['us', own],
    lines: [
      { id: 'M1', method: 'manual' },
      { id: 'A1', method: 'automatic' },
      { id: 'C1', method: 'chairside', chemistry: 'rapid' },
    ],
    tubes: [{ id: 'R1' }, { id: 'R2' }],
  };
}

function eventsOf(
  site: Record<string, unknown>,
  test: RuleTest,
  zone: string,
  clock: number | undefined,
): AnyEvent[] | string {
  const times = test.events.map(({ time, after: later }) => {
    const at = instantOf(time, zone, clock);
    return later === undefined ? at : after(at, later, zone);
  });
  const start = dayOf(Math.min(...times, clock ?? Infinity), zone);
  const raw = [
    { type: 'site.configured', at: start, data: site },
    ...test.events.map(({ type, data }, index) => ({ type, at: times[index] ?? 0, data: asSent(type, data) })),
  ];
  const events: AnyEvent[] = [];
  for (const [index, { type, at, data }] of raw.entries()) {
    const decoded = decode(
      {
        specversion: '1.0',
        type,
        source: 'test',
        id: idOf(index),
        time: new Date(at).toISOString(),
        site: 'test',
        data,
      },
      { now: at, hashPatient: (token) => token },
    );
    if (!decoded.ok)
      return `${index === 0 ? 'site' : `event ${index}`} (${type}): ${decoded.faults.map(({ pointer, message }) => `${pointer} ${message}`).join('; ')}`;
    events.push(decoded.event as AnyEvent);
  }
  return events;
}

const idOf = (index: number) => String(index).padStart(4, '0');

function dayOf(at: number, zone: string): number {
  return DateTime.fromMillis(at, { zone }).startOf('day').toMillis();
}
