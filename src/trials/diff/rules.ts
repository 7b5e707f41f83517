import type { Cadence, Check, Duty, Pack, Rule } from '../../packs/model.js';
import { fieldChanges, sayField, sides, type FieldChange, type Weights } from './fields.js';
import type { Change } from './change.js';
import { selectorChange } from './selectors.js';
import { asked, listStrictness, periodRise, severityStrictness, together, type Strictness } from './strictness.js';
import { greatest } from './version.js';

/**
 * Words are a patch, and which card a finding stands on is no judgement. What a finding is about is part of its identity:
 * with another topic the findings there are would lapse. Of the rest, and of fields yet unknown here, nobody can be sure.
 */
const weights: Weights = {
  title: 'patch',
  messages: 'patch',
  advise: 'patch',
  retest: 'patch',
  caution: 'patch',
  citation: 'patch',
  remind: 'patch',
  deprecated: 'patch',
  cause: 'minor',
};

/** Checks and duties that are new, gone or changed. A rule keeps its name within the pack, whatever the pack is called. */
export function ruleChanges(before: Pack, after: Pack): Change[] {
  const named = ({ id: pack, rules }: Pack) => new Map(rules.map((rule) => [rule.id.slice(pack.length + 1), rule]));
  const [old, now] = [named(before), named(after)];
  const whole = (id: string, rule: Rule, change: 'added' | 'removed'): Change => ({
    ...{ part: rule.kind, id, change },
    fields: [
      { field: 'title', ...(change === 'added' ? { after: rule.title } : { before: rule.title }), asks: 'none' },
    ],
    asks: change === 'added' ? 'minor' : 'major',
  });
  return [
    ...[...old].filter(([id]) => !now.has(id)).map(([id, rule]) => whole(id, rule, 'removed')),
    ...[...now].flatMap(([id, rule]): Change[] => {
      const known = old.get(id);
      if (known === undefined) return [whole(id, rule, 'added')];
      const fields = changesOf(known, rule);
      if (fields.length === 0) return [];
      return [{ part: rule.kind, id, change: 'changed', fields, asks: greatest(fields.map(({ asks }) => asks)) }];
    }),
  ];
}

function changesOf(before: Rule, after: Rule): FieldChange[] {
  const own =
    before.kind === 'check' && after.kind === 'check'
      ? checkChanges(before, after)
      : before.kind === 'duty' && after.kind === 'duty'
        ? dutyChanges(before, after)
        : [];
  const looked = ['id', 'severity', 'tests', 'for', ...checkFields, ...dutyFields];
  // A check that became a duty is another rule: its own fields are told as they are.
  const apart = before.kind === after.kind ? looked : ['id', 'severity', 'tests', 'for'];
  return [
    ...severityChange(before, after),
    ...selectorChange(before.for, after.for, before.kind === 'duty' || clearsNever(before, after)),
    ...own,
    ...testChange(before, after),
    ...fieldChanges<object>(before, after, weights, apart as never[]),
  ];
}

/** Only then can an event that is heard besides find more, and end nothing. */
const clearsNever = (...rules: readonly Rule[]) =>
  rules.every((rule) => rule.kind === 'check' && rule.clears === 'never');

function severityChange(before: Rule, after: Rule): FieldChange[] {
  if (before.severity === after.severity) return [];
  // One that goes to a limit, or comes from it, can be milder or graver.
  const strictness =
    before.severity === undefined || after.severity === undefined
      ? 'differs'
      : (severityStrictness(before.severity, after.severity) ?? 'differs');
  return [{ field: 'severity', ...sides(before.severity, after.severity), strictness, asks: asked(strictness) }];
}

const checkFields: readonly (keyof Check)[] = ['on', 'clears', 'clearedBy', 'hold'];
const dutyFields: readonly (keyof Duty)[] = ['must', 'counts', 'cadence'];

function checkChanges(before: Check, after: Check): FieldChange[] {
  const heard = listStrictness(before.on, after.on, 'tighter');
  return [
    ...went(before, after, 'on', heard === 'tighter' && !clearsNever(before, after) ? 'differs' : heard),
    ...went(before, after, 'clears', after.clears === 'never' ? 'tighter' : 'looser'),
    ...went(before, after, 'clearedBy', addedOrGone(before.clearedBy, after.clearedBy, 'looser')),
    ...went(before, after, 'hold', addedOrGone(before.hold, after.hold, 'tighter')),
  ];
}

function dutyChanges(before: Duty, after: Duty): FieldChange[] {
  return [
    ...went(before, after, 'must', listStrictness(before.must, after.must, 'looser')),
    ...went(before, after, 'counts', after.counts === 'always' ? 'tighter' : 'looser'),
    ...went(before, after, 'cadence', cadenceStrictness(before.cadence, after.cadence)).map((change) => ({
      ...change,
      field: 'owed',
    })),
  ];
}

/** One field that changed and which way it went; undefined where the change is one of words. */
function went<T extends Rule>(
  before: T,
  after: T,
  field: keyof T & string,
  strictness: Strictness | undefined,
): FieldChange[] {
  if (JSON.stringify(before[field]) === JSON.stringify(after[field])) return [];
  const said = sides(sayField(field, before[field]), sayField(field, after[field]));
  if (strictness === undefined) return [{ field, ...said, asks: 'patch' }];
  return [{ field, ...said, strictness, asks: asked(strictness) }];
}

function addedOrGone(before: unknown, after: unknown, added: 'tighter' | 'looser'): Strictness {
  if (before === undefined) return added;
  return after !== undefined ? 'differs' : added === 'tighter' ? 'looser' : 'tighter';
}

/**
 * What is owed by the first of several counts is looser with one count gone or longer. A longer time to follow up is
 * looser; anything else that changes can be either.
 */
function cadenceStrictness(before: Cadence, after: Cadence): Strictness | undefined {
  if (before.kind === 'every' && after.kind === 'every')
    return together([
      ofPart(before.limit, after.limit, (a, b) => (a === b ? 0 : undefined)),
      ofPart(before.period, after.period, periodRise),
      ofPart(before.films, after.films, (a, b) => Math.sign(b - a)),
    ]);
  if (before.kind !== 'after' || after.kind !== 'after') return 'differs';
  const rest = (cadence: Cadence) => JSON.stringify({ ...cadence, within: undefined });
  if (rest(before) !== rest(after)) return 'differs';
  return ofPart(before.within, after.within, periodRise);
}

function ofPart<T>(
  before: T | undefined,
  after: T | undefined,
  riseOf: (before: T, after: T) => number | undefined,
): Strictness | undefined {
  if (before === undefined) return after === undefined ? undefined : 'tighter';
  if (after === undefined) return 'looser';
  const rise = riseOf(before, after);
  return rise === undefined ? 'differs' : rise === 0 ? undefined : rise > 0 ? 'looser' : 'tighter';
}

/** Tests are told by their names: what they send would fill the page. Nobody is judged by them. */
function testChange(before: Rule, after: Rule): FieldChange[] {
  if (JSON.stringify(before.tests) === JSON.stringify(after.tests)) return [];
  const names = (rule: Rule) => rule.tests.map(({ name, kind }) => `${name} (${kind})`);
  const [old, now] = [names(before), names(after)];
  const gone = old.filter((name) => !now.includes(name));
  const fresh = now.filter((name) => !old.includes(name));
  const list = (all: readonly string[]) => (all.length === 0 ? undefined : all.join('; '));
  return [{ field: 'tests', ...sides(list(gone), list(fresh)), asks: 'none' }];
}
