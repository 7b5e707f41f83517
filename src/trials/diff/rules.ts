import type { Duty, Pack, Rule } from '../../packs/model.js';
import { fieldChanges, sayField, sides, type FieldChange, type Weights } from './fields.js';
import type { Change } from './change.js';
import { asked } from './limits.js';
import { periodRise, severityStrictness, type Strictness } from './strictness.js';
import { greatest } from './version.js';

/**
 * Words are a patch. What a finding is about is part of its identity: with another topic the findings there are would
 * lapse. The rest, and fields yet unknown here, change what is found.
 */
const weights: Weights = {
  title: 'patch',
  messages: 'patch',
  advise: 'patch',
  retest: 'patch',
  caution: 'patch',
  citation: 'patch',
  remind: 'patch',
  kind: 'major',
  about: 'major',
  per: 'major',
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
  return [
    ...severityChange(before, after),
    ...(before.kind === 'duty' && after.kind === 'duty' ? cadenceChange(before, after) : []),
    ...testChange(before, after),
    ...fieldChanges<object>(before, after, weights, ['id', 'severity', 'cadence', 'tests'] as never[]),
  ];
}

function severityChange(before: Rule, after: Rule): FieldChange[] {
  if (before.severity === after.severity) return [];
  // One that goes to a limit, or comes from it, can be milder or graver.
  const strictness =
    before.severity === undefined || after.severity === undefined
      ? 'differs'
      : (severityStrictness(before.severity, after.severity) ?? 'differs');
  return [{ field: 'severity', ...sides(before.severity, after.severity), strictness, asks: asked(strictness) }];
}

function cadenceChange(before: Duty, after: Duty): FieldChange[] {
  if (JSON.stringify(before.cadence) === JSON.stringify(after.cadence)) return [];
  const strictness = cadenceStrictness(before, after);
  const said = sides(sayField('cadence', before.cadence), sayField('cadence', after.cadence));
  return [{ field: 'owed', ...said, strictness, asks: asked(strictness) }];
}

/** A longer period or a longer time to follow up is looser; anything else that changes can be either. */
function cadenceStrictness({ cadence: before }: Duty, { cadence: after }: Duty): Strictness {
  const times = (cadence: Duty['cadence']) =>
    cadence.kind === 'every' ? cadence.period : cadence.kind === 'after' ? cadence.within : undefined;
  const rest = (cadence: Duty['cadence']) => JSON.stringify({ ...cadence, period: undefined, within: undefined });
  const [old, now] = [times(before), times(after)];
  if (rest(before) !== rest(after) || old === undefined || now === undefined) return 'differs';
  const rise = periodRise(old, now);
  return rise === undefined || rise === 0 ? 'differs' : rise > 0 ? 'looser' : 'tighter';
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
