import { isMap } from 'yaml';
import type { Cadence, Duty, Period } from '../model.js';
import { count, flag, mapping, mismatch, oneOrMore, optional, required, word } from './decode.js';
import type { Decoder, Mapping } from './decode.js';
import { eventPattern } from './events.js';
import type { References } from './references.js';
import { ruleBase, ruleShape } from './rules.js';
import type { PackContext } from './rules.js';
import { id, period } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/** Long enough that the last working day before a due instant is on the list, whatever holidays lie before it. */
const defaultRemind: Period = { count: 7, unit: 'd' };

type Every = Extract<Cadence, { kind: 'every' }>;

const films: Decoder<number> = (spot) => {
  const value = count(spot);
  return value === 0 ? mismatch(spot, 'a number of films above 0') : value;
};

/** `every: 1 mo`, or a mapping of limit, period, films: whichever comes first. */
function every(references: References): Decoder<Every> {
  return (spot) => {
    if (!isMap(spot.node)) {
      const read = period(spot);
      return read === undefined ? undefined : { kind: 'every', period: read };
    }
    const got = mapping(spot, { limit: optional(id), period: optional(period), films: optional(films) });
    if (got === undefined) return undefined;
    if (got.values.limit !== undefined) references.owed(got.at('limit'), got.values.limit);
    if (!got.has('limit') && !got.has('period') && !got.has('films'))
      return fault(spot, 'missing-field', 'every needs a limit, a period or a number of films.');
    return got.whole === undefined ? undefined : { kind: 'every', ...got.whole };
  };
}

/** Something must happen, at least so often, or before or after something else. */
export function duty(context: PackContext): Decoder<Duty> {
  const patterns = oneOrMore(eventPattern);
  const shape = {
    ...ruleShape(context),
    must: required(patterns),
    per: required(word(['site', 'line', 'bath', 'tube'])),
    every: optional(every(context.references)),
    before: optional(patterns),
    after: optional(patterns),
    within: optional(period),
    eachFilm: optional(flag),
    counts: optional(word(['always', 'whenUsed'])),
    remind: optional(period),
  };
  type Got = Mapping<typeof shape>;

  const cadenceOf = (spot: Spot, got: Got): Cadence | undefined => {
    const { whole } = got;
    const [hasEvery, hasBefore, hasAfter] = [got.has('every'), got.has('before'), got.has('after')];
    if (!hasAfter)
      for (const field of ['within', 'eachFilm'] as const)
        if (got.has(field))
          fault(got.at(field), 'cadence-wrong', `${field} belongs to after, which ${spot.name} does not have.`);
    if (hasEvery && (hasBefore || hasAfter))
      return fault(
        got.at(hasBefore ? 'before' : 'after'),
        'cadence-wrong',
        `${spot.name} is owed by every already; a duty is owed in one way.`,
      );
    if (!hasEvery && !hasBefore && !hasAfter)
      return fault(spot, 'cadence-wrong', `${spot.name} does not say when it is owed: every, before or after.`);
    if (hasAfter && !got.has('within') && !hasBefore)
      return fault(
        got.at('after'),
        'cadence-wrong',
        `${spot.name} is owed after something, but not by when: within, or before.`,
      );
    if (whole === undefined) return undefined;
    if (whole.every !== undefined) return whole.every;
    if (whole.after === undefined)
      return whole.before === undefined ? undefined : { kind: 'before', before: whole.before };
    return {
      kind: 'after',
      after: whole.after,
      ...(whole.within === undefined ? {} : { within: whole.within }),
      ...(whole.before === undefined ? {} : { before: whole.before }),
      eachFilm: whole.eachFilm ?? false,
    };
  };

  return (spot) => {
    const from = context.references.used.length;
    const got = mapping(spot, shape);
    if (got === undefined) return undefined;
    context.references.belongs(from, { per: got.values.per });
    if (got.values.per === 'line' && got.values.for?.bath !== undefined)
      fault(
        got.at('for'),
        'not-evaluable-ever',
        `${spot.name} is owed for each line, not for each bath: for a bath it never is. Write per: bath.`,
      );
    const cadence = cadenceOf(spot, got);
    const limited =
      got.has('every') && got.values.every === undefined ? undefined : got.values.every?.limit !== undefined;
    const base = ruleBase(spot, got, limited, context);
    if (base === undefined || cadence === undefined || got.whole === undefined) return undefined;
    return {
      kind: 'duty',
      ...base,
      must: got.whole.must,
      per: got.whole.per,
      cadence,
      counts: got.whole.counts ?? 'always',
      remind: got.whole.remind ?? defaultRemind,
    };
  };
}
