import type { Deprecated } from '../model.js';
import { mapping, optional, required, text } from './decode.js';
import type { Decoder } from './decode.js';
import { date, id } from './values.js';
import { warn } from './spot.js';
import type { Spot } from './spot.js';

/** Why a rule or limit is set aside, since when, and what takes its place; `refer` notes that name. */
export function deprecated(refer: (spot: Spot, name: string) => void): Decoder<Deprecated> {
  return (spot) => {
    const got = mapping(spot, { reason: required(text), since: required(date), replacedBy: optional(id) });
    if (got?.values.replacedBy !== undefined) refer(got.at('replacedBy'), got.values.replacedBy);
    return got?.whole;
  };
}

/** Said wherever the pack is checked; it is judged all the same. */
export function warnDeprecated(spot: Spot, name: string, { reason, since, replacedBy }: Deprecated): void {
  const next = replacedBy === undefined ? '' : ` ${replacedBy} takes its place.`;
  warn(spot, 'deprecated', `${name} is deprecated since ${since}: ${reason.replace(/[.\s]+$/, '')}.${next}`);
}
