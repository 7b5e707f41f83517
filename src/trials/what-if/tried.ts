import { beginOf, type Edition } from '../../packs/book.js';
import type { Pack } from '../../packs/model.js';

/**
 * The editions that would stand if these packs were in force from an instant on, each in the place of every text of its
 * id; all other packs as they are.
 * @param from ms; left out: as though they had always stood.
 */
export function tried(present: readonly Edition[], packs: readonly Pack[], from = -Infinity): Edition[] {
  // A text that is for later leaves the present one in force until then.
  const begins = new Map(packs.map((pack) => [pack.id, beginOf({ pack, from })]));
  return [
    ...present.flatMap((one) => {
      const begin = begins.get(one.pack.id);
      if (begin === undefined) return [one];
      return one.from < begin ? [{ ...one, to: Math.min(one.to, begin) }] : [];
    }),
    ...packs.map((pack) => ({ pack, from: begins.get(pack.id) ?? from, to: Infinity })),
  ];
}
