import { DateTime } from 'luxon';
import type { Pack } from '../../packs/model.js';
import { diffPacks, type PackDiff } from './index.js';

/** Two sets of packs side by side: those of one id compared, and those that only one has. */
export interface PacksDiff {
  readonly packs: readonly PackDiff[];
  /** By id; an edition of a pack that has others by id and version. */
  readonly added: readonly string[];
  readonly removed: readonly string[];
}

/** One pack and one pack are compared whatever they are called. */
export function diffSets(before: readonly Pack[], after: readonly Pack[]): PacksDiff {
  const [old] = before;
  const [now] = after;
  if (before.length === 1 && after.length === 1 && old !== undefined && now !== undefined)
    return { packs: [diffPacks(old, now)], added: [], removed: [] };
  const all = [...new Set([...before, ...after].map(({ id }) => id))].map((id) =>
    editions(
      before.filter((pack) => pack.id === id),
      after.filter((pack) => pack.id === id),
    ),
  );
  return {
    packs: all.flatMap(({ packs }) => packs),
    added: all.flatMap(({ added }) => added),
    removed: all.flatMap(({ removed }) => removed),
  };
}

/**
 * The editions of one pack: each beside the one of its version, or of its first day. One that is new is also held against
 * the edition it follows, as if both were in force at one time: the difference of their texts is what its version tells.
 */
function editions(before: readonly Pack[], after: readonly Pack[]): PacksDiff {
  const { pairs, gone, fresh } = pair(before, after);
  const isOne = before.length < 2 && after.length < 2;
  const name = ({ id, version }: Pack) => (isOne ? id : `${id} ${version}`);
  const compared = pairs
    .map(([old, now]) =>
      diffPacks(
        old,
        now,
        after.some((other) => follows(other, now)),
      ),
    )
    .filter(({ changes, version }) => changes.length > 0 || !version.follows);
  const begun = fresh.flatMap((now) => {
    const last = [...after, ...before]
      .filter((other) => other !== now && startOf(other) < startOf(now))
      .reduce<Pack | undefined>(
        (top, one) => (top === undefined || startOf(one) > startOf(top) ? one : top),
        undefined,
      );
    return last === undefined ? [] : [diffPacks(last, { ...now, from: last.from, to: last.to })];
  });
  return { packs: [...compared, ...begun], added: fresh.map(name), removed: gone.map(name) };
}

function pair(before: readonly Pack[], after: readonly Pack[]) {
  const gone = [...before];
  const fresh = [...after];
  const pairs: [Pack, Pack][] = [];
  const ways: ((a: Pack, b: Pack) => boolean)[] = [
    (a, b) => a.version === b.version && a.from === b.from,
    (a, b) => a.version === b.version,
    (a, b) => a.from === b.from,
    () => before.length === 1 && after.length === 1,
  ];
  for (const isSame of ways)
    for (const old of [...gone]) {
      const now = fresh.find((other) => isSame(old, other));
      if (now === undefined) continue;
      pairs.push([old, now]);
      gone.splice(gone.indexOf(old), 1);
      fresh.splice(fresh.indexOf(now), 1);
    }
  return { pairs, gone, fresh };
}

const startOf = ({ from }: Pack) => from ?? '';

const follows = (next: Pack, { to }: Pack) =>
  to !== undefined && next.from === DateTime.fromISO(to, { zone: 'utc' }).plus({ days: 1 }).toISODate();
