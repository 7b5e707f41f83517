import { isScalar } from 'yaml';
import { topicKinds } from '../model.js';
import type { Check, Period, TopicKind } from '../model.js';
import { condition } from './condition.js';
import { mapping, oneOrMore, optional, required, word } from './decode.js';
import type { Decoder } from './decode.js';
import { eventType } from './events.js';
import { heard, named, reached } from './heard.js';
import { namesLimit, ruleBase, ruleShape } from './rules.js';
import type { PackContext } from './rules.js';
import { fact, period } from './values.js';
import { fault } from './spot.js';

/** Done is done: no later event takes back what happened to a film. */
const lasting: readonly TopicKind[] = ['run', 'film', 'event', 'mount'];

const join: Decoder<'day' | Period> = (spot) =>
  isScalar(spot.node) && spot.node.value === 'day' ? 'day' : period(spot);

/** A condition on named event types. */
export function check(context: PackContext): Decoder<Check> {
  const shape = {
    ...ruleShape(context),
    on: required(oneOrMore(eventType)),
    about: required(word(topicKinds)),
    when: required(condition(context.references)),
    clears: optional(word(['never', 'passing'])),
    clearedBy: optional(condition(context.references)),
    join: optional(join),
    same: optional(fact),
    again: optional(period),
    hold: optional(word(['line', 'tube'])),
  };
  return (spot) => {
    const from = context.references.used.length;
    const got = mapping(spot, shape);
    if (got === undefined) return undefined;
    context.references.belongs(from, { on: got.values.on });
    const { about, clears, when, clearedBy, on } = got.values;
    const lasts = about !== undefined && lasting.includes(about);
    const leaveOut = (field: 'clears' | 'clearedBy') =>
      fault(
        got.at(field),
        'clears-wrong',
        `What is said of a ${about ?? 'thing'} is never cleared by a later event; leave ${field} out.`,
      );
    if (lasts && clears === 'passing') leaveOut('clears');
    if ((lasts || clears === 'never') && got.has('clearedBy')) leaveOut('clearedBy');
    if (on !== undefined && when !== undefined) heard(got.at('when'), when, on);
    if (on !== undefined && clearedBy !== undefined) heard(got.at('clearedBy'), clearedBy, on);
    if (on !== undefined) {
      if (about !== undefined) named(got.at('about'), about, on);
      if (got.values.hold !== undefined) named(got.at('hold'), got.values.hold, on);
      if (got.values.for !== undefined) reached(got.at('for'), got.values.for, on);
    }
    if (got.has('same') && !got.has('join'))
      fault(got.at('same'), 'missing-field', `${spot.name} needs join: same says which of those it joins.`);
    if (got.has('again') && on?.some((type) => type !== 'film.reviewed') === true)
      fault(
        got.at('again'),
        'unknown-field',
        `again is for what film.reviewed tells; ${spot.name} hears other events too.`,
      );
    const base = ruleBase(spot, got, when === undefined ? undefined : namesLimit(when), context);
    if (base === undefined || got.whole === undefined) return undefined;
    return {
      kind: 'check',
      ...base,
      on: got.whole.on,
      about: got.whole.about,
      when: got.whole.when,
      clears: got.whole.clears ?? (lasting.includes(got.whole.about) ? 'never' : 'passing'),
      ...(got.whole.clearedBy === undefined ? {} : { clearedBy: got.whole.clearedBy }),
      ...(got.whole.join === undefined ? {} : { join: got.whole.join }),
      ...(got.whole.same === undefined ? {} : { same: got.whole.same.name }),
      ...(got.whole.again === undefined ? {} : { again: got.whole.again }),
      ...(got.whole.hold === undefined ? {} : { hold: got.whole.hold }),
    };
  };
}
