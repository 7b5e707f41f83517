import type { Edition } from '../../packs/book.js';
import type { Pack } from '../../packs/model.js';

/**
 * The editions that would stand if these packs were in force from an instant on, each in the place of every text of its
 * id; all other packs as they are.
 * @param from ms; left out: as though they had always stood.
 */
export function tried(present: readonly Edition[], packs: readonly Pack[], from = -Infinity): Edition[] {
  const ids = new Set(packs.map(({ id }) => id));
  return [
    ...present.flatMap((one) => {
      if (!ids.has(one.pack.id)) return [one];
      return one.from < from ? [{ ...one, to: Math.min(one.to, from) }] : [];
    }),
    ...packs.map((pack) => ({ pack, from, to: Infinity })),
  ];
}
