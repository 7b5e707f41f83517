import { DateTime } from 'luxon';
import { same } from '../events/units.js';
import type { Finding, Verdict } from '../engine/finding.js';
import { namedBound } from '../engine/ladder.js';
import { sayQuantity, sayFact } from '../engine/words.js';
import type { PackBook } from '../packs/book.js';
import { facts } from '../packs/facts.js';
import type { ExpectedFinding, Quantity } from '../packs/model.js';
import { inUnitOf, sameDimension } from '../packs/reader/units.js';
import { instantOf } from '../packs/test-time.js';
import { holdsWords } from './words.js';

/** What one test is read by: its zone, its clock (ms), the events it sent by their number, the packs. */
export interface TestScene {
  readonly zone: string;
  readonly clock?: number;
  /** `source/id` of the test's events, in the order in which they are written. */
  readonly refs: readonly string[];
  readonly book: PackBook;
  /** The rule that an expectation without `rule` speaks of. */
  readonly rule: string;
}

/** One field of an expectation beside what the finding has, both as words. */
export interface ComparedField {
  readonly field: string;
  readonly expected: string;
  readonly found: string;
  readonly isMet: boolean;
}

/** Every field that the expectation names, held against a finding. */
export function compareFields(want: ExpectedFinding, finding: Finding, scene: TestScene): ComparedField[] {
  const fields: ComparedField[] = [];
  const hold = (field: string, expected: string | undefined, found: string, isMet = expected === found) => {
    if (expected !== undefined) fields.push({ field, expected, found, isMet });
  };
  hold('rule', want.rule ?? scene.rule, finding.rule);
  const topic = sayTopic(finding, scene);
  hold('subject', want.subject, topic, want.subject === topic || want.subject === topic.split(' ', 1)[0]);
  hold('line', want.line, finding.line ?? 'none');
  hold('severity', want.severity, finding.severity);
  hold('status', want.status, finding.state);
  if (want.opened !== undefined) {
    const at = instantOf(want.opened, scene.zone, scene.clock);
    const said = sayInstant(at, scene.zone);
    const wanted = want.opened.includes('T') ? said : `${want.opened} (${said})`;
    hold('opened', wanted, sayInstant(finding.openedAt, scene.zone), at === finding.openedAt);
  }
  hold('occurrences', want.occurrences?.toString(), String(finding.occurrences));
  hold('films', want.films?.toString(), String(finding.films));
  hold('says', want.says, finding.message, want.says !== undefined && holdsWords(finding.message, want.says));
  for (const [name, value] of Object.entries(want.values ?? {})) {
    const field = name.startsWith('limit.')
      ? ofBound(name, value, finding, scene)
      : ofFact(name, value, finding, scene);
    fields.push(field);
  }
  return fields;
}

function ofFact(
  name: string,
  value: Quantity | string | boolean,
  finding: Finding,
  { zone }: TestScene,
): ComparedField {
  const found = finding.facts[name];
  const unit = facts.get(name)?.unit;
  const isMet = typeof value === 'object' ? typeof found === 'number' && isSame(found, value, unit) : found === value;
  return {
    field: name,
    expected: sayValue(value),
    found: sayFact(name, found, zone) ?? 'not among the numbers of the finding',
    isMet,
  };
}

function ofBound(name: string, value: Quantity | string | boolean, finding: Finding, scene: TestScene): ComparedField {
  const limit = name.slice('limit.'.length);
  const rung: Verdict | undefined =
    namedBound(finding.chain, limit) ??
    finding.chain.find((one) => one.limit === limit && one.bound !== undefined) ??
    finding.chain.find((one) => one.limit === limit);
  const of = scene.book.packs.flatMap(({ limits }) => limits).find(({ id }) => id === limit)?.of ?? '';
  const unit = facts.get(of)?.unit;
  const isMet =
    typeof value === 'object'
      ? rung?.bound !== undefined && isSame(rung.bound, value, unit)
      : rung !== undefined && holdsWords(rung.text, String(value));
  return { field: name, expected: sayValue(value), found: rung?.text ?? 'not among the limits of the finding', isMet };
}

/** A number of a fact in `unit` beside a quantity: of another dimension it is never the same. */
function isSame(found: number, value: Quantity, unit = '1'): boolean {
  return sameDimension(value.unit, unit) && same(found, inUnitOf(unit, value, 'reading'));
}

function sayValue(value: Quantity | string | boolean): string {
  return typeof value === 'object' ? sayQuantity(value) : String(value);
}

/** `line M1`, `fill M1/developer`, `run 2`: runs, films and events by their number in the test. */
function sayTopic({ topic }: Finding, { refs }: TestScene): string {
  const [kind = '', ...rest] = topic.split(':');
  const which = rest.join(':');
  if (kind === 'run' || kind === 'film' || kind === 'event') {
    const number = refs.indexOf(which) + 1;
    return number > 0 ? `${kind} ${number}` : `${kind} ${which}`;
  }
  if (kind === 'fill') return `fill ${which.split('/').slice(0, 2).join('/')}`;
  return which === '' ? kind : `${kind} ${which}`;
}

/** "Tue 2026-01-20 08:00", with seconds where there are any. */
export function sayInstant(at: number, zone: string): string {
  const local = DateTime.fromMillis(at, { zone });
  const clock = local.toFormat(at % 60_000 === 0 ? 'HH:mm' : 'HH:mm:ss.SSS');
  const weekday = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'][local.weekday - 1] ?? '';
  return `${weekday} ${local.toFormat('yyyy-MM-dd')} ${clock}`;
}
