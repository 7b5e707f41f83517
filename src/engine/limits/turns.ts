import type { PackBook, Place, RuleSet, Said } from '../../packs/book.js';
import type { Limit } from '../../packs/model.js';

const day = 86_400_000;
/** How long before it begins to hold a limit is told, and how long after its end. */
export const ahead = 60 * day;
export const back = 365 * day;
/** A book that turns more often than this within them is not walked to the end. */
const mostTurns = 400;

/** The rules of a place that come within 60 days, and those that went within a year, nearest first. */
export function setsAround(book: PackBook, place: Place, at: number): { coming: RuleSet[]; gone: RuleSet[] } {
  const coming: RuleSet[] = [];
  const gone: RuleSet[] = [];
  const now = book.at(at, place);
  for (let set = now; set.to <= at + ahead && coming.length < mostTurns;) coming.push((set = book.at(set.to, place)));
  for (let set = now; set.from > at - back && gone.length < mostTurns;) gone.push((set = book.at(set.from - 1, place)));
  return { coming, gone };
}

/** What makes one word of a pack on a limit the same word in the next edition. */
export function wordKey({ pack, id, for: selector, min, max, role, severity }: Said<Limit>): string {
  return JSON.stringify([pack.id, id, selector, min, max, role, severity]);
}

/** Those of a limit that hold in the later rules and not in the earlier. */
export function begun(id: string, earlier: RuleSet, later: RuleSet): readonly Said<Limit>[] {
  const before = new Set((earlier.limits.get(id) ?? []).map(wordKey));
  return (later.limits.get(id) ?? []).filter((limit) => !before.has(wordKey(limit)));
}

/**
 * Each limit that begins with the one of its pack that ends as it begins, on the same sides and of the same baths: first
 * those for the same lines at the same severity, then those of which there is one only. Where two could be meant, none is.
 */
export function replacedBy(
  begin: readonly Said<Limit>[],
  end: readonly Said<Limit>[],
): ReadonlyMap<Said<Limit>, Said<Limit> | undefined> {
  const alike = ({ pack, of, min, max, for: { bath } }: Said<Limit>) =>
    JSON.stringify([pack.id, of, min !== undefined, max !== undefined, bath]);
  const exact = (limit: Said<Limit>) => JSON.stringify([alike(limit), limit.for, limit.severity]);
  const found = new Map<Said<Limit>, Said<Limit> | undefined>(begin.map((limit) => [limit, undefined]));
  for (const key of [exact, alike]) {
    const open = begin.filter((limit) => found.get(limit) === undefined);
    const taken = new Set(found.values());
    const left = end.filter((limit) => !taken.has(limit));
    for (const limit of open) {
      const [before, ...others] = left.filter((each) => key(each) === key(limit));
      const rivals = open.filter((each) => key(each) === key(limit));
      if (before !== undefined && others.length === 0 && rivals.length === 1) found.set(limit, before);
    }
  }
  return found;
}

/**
 * Whether somebody speaks in a limit's place: its own pack, or another of its layer and jurisdiction, on one of its sides
 * and of one of its baths.
 */
export function isSucceeded(limit: Said<Limit>, standing: readonly Said<Limit>[]): boolean {
  return standing.some(
    (other) =>
      (other.pack.id === limit.pack.id ||
        (other.pack.layer === limit.pack.layer && other.pack.jurisdiction === limit.pack.jurisdiction)) &&
      shareBath(limit, other) &&
      (['min', 'max'] as const).some((side) => limit[side] !== undefined && other[side] !== undefined),
  );
}

function shareBath({ for: { bath: one } }: Limit, { for: { bath: other } }: Limit): boolean {
  return one === undefined || other === undefined || one.some((bath) => other.includes(bath));
}
