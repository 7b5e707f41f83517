import type { Edition } from './book.js';
import type { Pack } from './model.js';

/** One text of a pack as an organisation published it. Never changed afterwards. */
export interface Publication {
  readonly pack: Pack;
  /** From when on it is judged by, ms. */
  readonly effective: number;
  /** When it was published, ms. */
  readonly publishedAt: number;
}

/**
 * When each text of each pack stands, the shipped ones and those that an organisation published.
 *
 * A publication takes the place of every text of its id from its effective instant on, the shipped one included; what
 * was still to come when it was published, and comes later than it, stays on the calendar. Published for the same
 * instant, the later word counts.
 *
 * @param publications in the order in which they were published.
 */
export function editionsOf(shipped: readonly Pack[], publications: readonly Publication[]): Edition[] {
  const byId = new Map<string, Publication[]>();
  for (const one of publications) {
    const standing = byId.get(one.pack.id) ?? [];
    const left = standing.filter(
      ({ effective }) => effective < one.effective || (effective > one.effective && effective > one.publishedAt),
    );
    byId.set(
      one.pack.id,
      [...left, one].sort((a, b) => a.effective - b.effective),
    );
  }
  const first = (id: string) => byId.get(id)?.[0]?.effective ?? Infinity;
  return [
    ...shipped.map((pack) => ({ pack, from: -Infinity, to: first(pack.id) })),
    ...[...byId.values()].flatMap((own) =>
      own.map(({ pack, effective }, index) => ({ pack, from: effective, to: own[index + 1]?.effective ?? Infinity })),
    ),
  ];
}
