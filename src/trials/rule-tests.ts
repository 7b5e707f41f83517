import { DateTime, IANAZone } from 'luxon';
import { decode } from '../events/decode.js';
import type { AnyEvent } from '../events/event.js';
import type { Finding } from '../engine/finding.js';
import { sayTime } from '../engine/words.js';
import { PackBook } from '../packs/book.js';
import { asSent } from '../packs/eventFields.js';
import type { ExpectedFinding, Pack, Rule, RuleTest } from '../packs/model.js';
import { foldSite } from './fold-site.js';

export interface TestOutcome {
  readonly pack: string;
  readonly rule: string;
  readonly test: string;
  readonly kind: RuleTest['kind'];
  /** Why it failed, as a sentence; undefined when it passed. */
  readonly failure?: string;
}

const testZone = 'America/New_York';

/** Run every test that the packs' rules carry, each against its own pack and the others given. */
export function runRuleTests(packs: readonly Pack[], among: readonly Pack[] = packs): TestOutcome[] {
  const book = new PackBook(among);
  return packs.flatMap((pack) =>
    pack.rules.flatMap((rule) =>
      rule.tests.map((test) => ({
        pack: pack.id,
        rule: rule.id,
        test: test.name,
        kind: test.kind,
        failure: runOne(pack, rule, test, book),
      })),
    ),
  );
}

function runOne(pack: Pack, rule: Rule, test: RuleTest, book: PackBook): string | undefined {
  const site = { ...testSite(pack), ...test.site };
  const zone = typeof site.zone === 'string' ? site.zone : testZone;
  if (!IANAZone.isValidZone(zone)) return `The site's zone ${JSON.stringify(zone)} is not a time zone.`;
  if (test.events.length === 0) return 'It sends nothing.';
  const decoded = eventsOf(site, test, zone);
  if (typeof decoded === 'string') return decoded;
  const until = test.until === undefined ? undefined : instant(test.until, zone);
  const { findings } = foldSite(decoded, book, until);
  const found = [...findings.values()].filter((finding) => finding.rule === rule.id);
  return compare(found, test.expect, zone, test.kind);
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

function eventsOf(site: Record<string, unknown>, test: RuleTest, zone: string): AnyEvent[] | string {
  const times = test.events.map(({ time }) => instant(time, zone));
  const start = DateTime.fromMillis(Math.min(...times), { zone })
    .startOf('day')
    .toMillis();
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
        id: String(index).padStart(4, '0'),
        time: new Date(at).toISOString(),
        site: 'test',
        data,
      },
      { now: at, hashPatient: (token) => token },
    );
    if (!decoded.ok)
      return `event ${index} (${type}): ${decoded.faults.map(({ pointer, message }) => `${pointer} ${message}`).join('; ')}`;
    events.push(decoded.event as AnyEvent);
  }
  return events;
}

function instant(time: string, zone: string): number {
  return DateTime.fromISO(time, { zone }).toMillis();
}

function compare(
  found: Finding[],
  expected: readonly ExpectedFinding[],
  zone: string,
  kind: RuleTest['kind'],
): string | undefined {
  const say = ({ severity, state, openedAt, message }: Finding) =>
    `${severity} (${state}) ${sayTime(openedAt, zone)} "${message}"`;
  const listed = found.length === 0 ? 'none' : found.map(say).join('; ');
  if (kind === 'fires' && expected.length === 0)
    return found.length > 0 ? undefined : 'expected the rule to fire; it found nothing';
  if (found.length !== expected.length) return `expected ${expected.length} findings, found ${found.length}: ${listed}`;
  const left = [...found].sort((a, b) => a.openedAt - b.openedAt);
  for (const want of expected) {
    const index = left.findIndex((finding) => fits(finding, want, zone));
    if (index < 0) return `no finding fits ${JSON.stringify(want)}: ${listed}`;
    left.splice(index, 1);
  }
  return undefined;
}

function fits(finding: Finding, want: ExpectedFinding, zone: string): boolean {
  return (
    (want.severity === undefined || want.severity === finding.severity) &&
    (want.status === undefined || want.status === finding.state) &&
    (want.opened === undefined || instant(want.opened, zone) === finding.openedAt) &&
    (want.occurrences === undefined || want.occurrences === finding.occurrences) &&
    (want.says === undefined || finding.message.includes(want.says))
  );
}
