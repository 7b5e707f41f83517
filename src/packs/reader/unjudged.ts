import { nearest } from '../../events/nearest.js';
import type { Diagnostic } from './diagnostic.js';
import type { PackRead } from './index.js';
import { packCaps } from './source.js';

/**
 * Limits that nothing is ever held against: no condition and no duty of any pack names them, as after a slip in the name.
 * Those set aside are let be, and so is everything where no pack has a rule: then the rules are not among what was read.
 */
export function unjudged(reads: readonly PackRead[]): Diagnostic[] {
  const judged = new Set(reads.flatMap(judgedBy));
  if (judged.size === 0) return [];
  let hints = mostHints;
  return reads.flatMap(({ pack, defined }) => {
    if (pack === undefined) return [];
    const places = defined.filter(({ kind }) => kind === 'limit');
    const found = pack.limits.flatMap(({ id, deprecated }, index) => {
      const at = places[index]?.at;
      return at === undefined || deprecated !== undefined || judged.has(id) ? [] : [{ id, at }];
    });
    return found.slice(0, packCaps.faults).map(({ id, at }): Diagnostic => {
      const near = hints-- > 0 ? nearest(id, judged) : undefined;
      const hint = near === undefined ? '' : ` Did you mean ${near}?`;
      const message = `No rule of any pack judges the limit "${id}", so nothing is found by it.${hint}`;
      return {
        ...{ ...at, code: 'limit-unjudged', severity: 'warning', message },
        ...(near === undefined ? {} : { nearest: near }),
      };
    });
  });
}

/** Names for which the nearest is looked for: packs written to be slow must not cost more than a moment. */
const mostHints = 200;

/** The limits that the rules of a pack judge; of a pack with faults, all that it names. */
function judgedBy({ pack, used }: PackRead): string[] {
  const named = used.filter(({ kind, isJudged }) => kind === 'limit' && (pack === undefined || isJudged === true));
  const owed = (pack?.rules ?? []).flatMap((rule) =>
    rule.kind === 'duty' && rule.cadence.kind === 'every' ? (rule.cadence.limit ?? []) : [],
  );
  return [...named.map(({ name }) => name), ...owed];
}
