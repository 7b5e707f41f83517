import type { Pack } from '../../packs/model.js';
import type { Change } from './change.js';
import { chartChanges } from './charts.js';
import { fieldChanges, sides, type FieldChange, type Weights } from './fields.js';
import { limitChanges } from './limits.js';
import { ruleChanges } from './rules.js';
import { asked } from './strictness.js';
import { bumpBetween, bumped, bumps, greatest, type Bump } from './version.js';

export type { Change } from './change.js';
export type { FieldChange } from './fields.js';
export type { Strictness } from './strictness.js';
export type { Bump } from './version.js';

/** What is different in `after`, with the version that it asks for. */
export interface PackDiff {
  readonly before: { readonly pack: string; readonly version: string };
  readonly after: { readonly pack: string; readonly version: string };
  readonly changes: readonly Change[];
  readonly version: {
    readonly asks: Bump;
    /** The version that the change asks for at least. */
    readonly proposed: string;
    /** Whether the version in the file is that, or rises as far. */
    readonly follows: boolean;
  };
}

const head: Weights = {
  title: 'patch',
  authority: 'patch',
};
const elsewhere: readonly (keyof Pack)[] = [
  'from',
  'to',
  'version',
  'limits',
  'charts',
  'techniques',
  'defects',
  'rules',
  'tests',
  'notKnown',
];

/**
 * Compares two texts of a pack, or two packs: rules are the same by their name within the pack, charts by their id, limits by
 * name and the lines they speak of.
 *
 * @param isFollowed another edition begins where this one ends: what its end changes is for that one's comparison
 */
export function diffPacks(before: Pack, after: Pack, isFollowed = false): PackDiff {
  const own = [...timeChanges(before, after, isFollowed), ...fieldChanges(before, after, head, elsewhere)];
  const changes: Change[] = [
    ...(own.length === 0 ? [] : [changed('pack', after.id, own)]),
    ...limitChanges(before.limits, after.limits),
    ...chartChanges(before, after),
    ...techniqueChanges(before, after),
    ...defectChanges(before, after),
    ...ruleChanges(before, after),
    ...texts('not known', before.notKnown, after.notKnown, ({ topic }) => topic),
    ...texts('test', before.tests ?? [], after.tests ?? [], ({ name }) => name),
  ];
  const asks = greatest(changes.map((change) => change.asks));
  const rose = bumpBetween(before.version, after.version);
  return {
    before: { pack: before.id, version: before.version },
    after: { pack: after.id, version: after.version },
    changes,
    version: {
      asks,
      proposed: bumped(before.version, asks),
      // A version may rise farther than it must; it never falls.
      follows: asks === 'none' ? !isLower(after.version, before.version) : bumps.indexOf(rose) >= bumps.indexOf(asks),
    },
  };
}

/** A longer time in force is tighter; but a maker's sheet that comes into force can lift what the law asks without it. */
function timeChanges(before: Pack, after: Pack, isFollowed: boolean): FieldChange[] {
  const isSheet = [before, after].some(({ layer }) => layer === 'maker');
  return (['from', 'to'] as const).flatMap((field): FieldChange[] => {
    const open = field === 'from' ? '0000' : '9999';
    const [old, now] = [before[field] ?? open, after[field] ?? open];
    if (old === now) return [];
    const said = sides(before[field], after[field]);
    if (field === 'to' && isFollowed) return [{ field, ...said, asks: 'none' }];
    const isLonger = field === 'from' ? now < old : now > old;
    const strictness = !isLonger ? 'looser' : isSheet ? 'differs' : 'tighter';
    return [{ field, ...said, strictness, asks: asked(strictness) }];
  });
}

/** What exposures are held against: whether another time lets more pass or less, its rows alone do not say. */
function techniqueChanges(before: Pack, after: Pack): Change[] {
  const [old, now] = [before, after].map(
    ({ techniques = [] }) => new Map(techniques.map((one) => [one.id, JSON.stringify(one)])),
  ) as [Map<string, string>, Map<string, string>];
  const part = (id: string, change: Change['change']): Change => ({
    ...{ part: 'technique', id, change, fields: [] },
    asks: change === 'added' ? 'minor' : 'major',
  });
  return [...new Set([...old.keys(), ...now.keys()])].flatMap((id) => {
    if (old.get(id) === now.get(id)) return [];
    return part(id, !now.has(id) ? 'removed' : old.has(id) ? 'changed' : 'added');
  });
}

/** What is known of faults of films ranks causes and judges nobody. */
function defectChanges({ defects: before }: Pack, { defects: after }: Pack): Change[] {
  const asked = (change: Change): Change => ({ ...change, asks: 'minor' });
  const lists = (['tables', 'signs', 'causes', 'clues'] as const).flatMap((list) =>
    texts<{ readonly id: string }>('defects', before?.[list] ?? [], after?.[list] ?? [], ({ id }) => id),
  );
  const confirmed = texts('defects', before?.confirmed ?? [], after?.confirmed ?? [], ({ cause }) => cause);
  return [...lists, ...confirmed].map(asked);
}

const isLower = (a: string, b: string) => a !== b && bumpBetween(b, a) === 'none' && bumpBetween(a, b) !== 'none';

function changed(part: Change['part'], id: string, fields: readonly FieldChange[]): Change {
  return { part, id, change: 'changed', fields, asks: greatest(fields.map(({ asks }) => asks)) };
}

/** Parts that nobody is judged by: what is not known is a matter of words, a test is not even that. */
function texts<T>(
  part: 'not known' | 'test' | 'defects',
  before: readonly T[],
  after: readonly T[],
  name: (one: T) => string,
): Change[] {
  const old = new Map(before.map((one) => [name(one), JSON.stringify(one)]));
  const now = new Map(after.map((one) => [name(one), JSON.stringify(one)]));
  const asks = part === 'test' ? 'none' : 'patch';
  const words = (id: string, change: Change['change']): Change => ({ part, id, change, fields: [], asks });
  return [
    ...[...old.keys()].filter((id) => !now.has(id)).map((id) => words(id, 'removed')),
    ...[...now].flatMap(([id, text]) =>
      !old.has(id) ? [words(id, 'added')] : old.get(id) === text ? [] : [words(id, 'changed')],
    ),
  ];
}
