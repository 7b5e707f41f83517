import type { Limit } from '../../packs/model.js';
import { saySelector } from '../sentences.js';
import { fieldChanges, sayField, sides, type FieldChange, type Weights } from './fields.js';
import type { Change } from './change.js';
import { selectorChange } from './selectors.js';
import { asked, boundStrictness, severityStrictness } from './strictness.js';
import { greatest } from './version.js';

/** A target is shown and never judged; what stands beside a limit on its way out is words. */
const weights: Weights = { target: 'patch', citation: 'patch', deprecated: 'patch' };

/** Limits that are new, gone or changed: both sides of each, with their units, and which way they went. */
export function limitChanges(before: readonly Limit[], after: readonly Limit[]): Change[] {
  const ids = [...new Set([...before, ...after].map(({ id }) => id))];
  return ids.flatMap((id) => {
    const { pairs, gone, fresh } = pair(
      before.filter((limit) => limit.id === id),
      after.filter((limit) => limit.id === id),
    );
    return [
      ...gone.map((limit) => whole(limit, 'removed')),
      ...fresh.map((limit) => whole(limit, 'added')),
      ...pairs.flatMap(([old, now]): Change[] => {
        const fields = changesOf(old, now);
        if (fields.length === 0) return [];
        return [{ ...named(now), change: 'changed', fields, asks: greatest(fields.map(({ asks }) => asks)) }];
      }),
    ];
  });
}

/** Those of one name, matched by all they say, by the lines and the weight they speak with, then by the lines, then in their order. */
function pair(before: readonly Limit[], after: readonly Limit[]) {
  const gone = [...before];
  const fresh = [...after];
  const pairs: [Limit, Limit][] = [];
  const key = (...fields: readonly (keyof Limit)[]) => {
    const text = (limit: Limit) => JSON.stringify(fields.map((field) => limit[field]));
    return (a: Limit, b: Limit) => text(a) === text(b);
  };
  const alike = [
    (a: Limit, b: Limit) => JSON.stringify(a) === JSON.stringify(b),
    key('for', 'severity', 'role'),
    key('for', 'severity'),
    key('for'),
    () => true,
  ];
  for (const isAlike of alike)
    for (const old of [...gone]) {
      const now = fresh.find((limit) => isAlike(old, limit));
      if (now === undefined) continue;
      pairs.push([old, now]);
      gone.splice(gone.indexOf(old), 1);
      fresh.splice(fresh.indexOf(now), 1);
    }
  return { pairs, gone, fresh };
}

function changesOf(before: Limit, after: Limit): FieldChange[] {
  const bounds = (['min', 'max'] as const).flatMap((side): FieldChange[] => {
    const strictness = boundStrictness(side, before[side], after[side]);
    const said = sides(sayField(side, before[side]), sayField(side, after[side]));
    // The same number in another unit is a matter of words.
    if (strictness === undefined) return said.before === said.after ? [] : [{ field: side, ...said, asks: 'patch' }];
    return [{ field: side, ...said, strictness, asks: asked(strictness) }];
  });
  const strictness = severityStrictness(before.severity, after.severity);
  const severity: FieldChange[] =
    strictness === undefined
      ? []
      : [{ field: 'severity', ...sides(before.severity, after.severity), strictness, asks: asked(strictness) }];
  return [
    ...bounds,
    ...severity,
    ...selectorChange(before.for, after.for, true),
    ...fieldChanges(before, after, weights, ['min', 'max', 'severity', 'for']),
  ];
}

function named(limit: Limit): Pick<Change, 'part' | 'id' | 'of'> {
  const of = saySelector(limit.for);
  return { part: 'limit', id: limit.id, ...(of === '' ? {} : { of }) };
}

function whole(limit: Limit, change: 'added' | 'removed'): Change {
  const fields = (['min', 'max', 'severity'] as const).flatMap((field): FieldChange[] => {
    const said = sayField(field, limit[field]);
    if (said === undefined) return [];
    return [{ field, ...(change === 'added' ? { after: said } : { before: said }), asks: 'none' }];
  });
  return { ...named(limit), change, fields, asks: change === 'added' ? 'minor' : 'major' };
}
