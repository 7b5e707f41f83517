import { beginOf, type Edition } from './book.js';
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
 * A publication takes the place of every text of its id from its effective instant on, or from its own first day where
 * that is later: a text that is for next year leaves this year's in force until then. The shipped one gives way too. What
 * was still to come when it was published, and comes later than it, stays on the calendar. Published for the same instant,
 * the later word counts. Dates are local: `from` is the earliest instant at which a text can be in force anywhere, and
 * `PackBook` waits for the place's own day.
 *
 * @param publications in the order in which they were published.
 */
export function editionsOf(shipped: readonly Pack[], publications: readonly Publication[]): Edition[] {
  const byId = new Map<string, Publication[]>();
  for (const one of publications) {
    const standing = byId.get(one.pack.id) ?? [];
    const begin = begins(one);
    const left = standing.filter((other) => {
      const at = begins(other);
      return at < begin || (at > begin && at > one.publishedAt);
    });
    byId.set(
      one.pack.id,
      [...left, one].sort((a, b) => begins(a) - begins(b)),
    );
  }
  const first = (id: string) => {
    const own = byId.get(id)?.[0];
    return own === undefined ? Infinity : begins(own);
  };
  return [
    ...shipped.map((pack) => ({ pack, from: -Infinity, to: first(pack.id) })),
    ...[...byId.values()].flatMap((own) =>
      own.map((one, index) => {
        const next = own[index + 1];
        return { pack: one.pack, from: begins(one), to: next === undefined ? Infinity : begins(next) };
      }),
    ),
  ];
}

const begins = ({ pack, effective }: Publication) => beginOf({ pack, from: effective });
