import { isScalar } from 'yaml';
import { facts } from '../facts.js';
import type { FactDefinition } from '../facts.js';
import { askedFor } from '../followed-facts.js';
import { kept, measures } from '../measures.js';
import type { Measure } from '../measures.js';
import type { Check, Trend } from '../model.js';
import { condition } from './condition.js';
import { count, mapping, near, number, oneOrMore, optional, required, text, word } from './decode.js';
import type { Decoder } from './decode.js';
import { oneOf, quoted } from './diagnostic.js';
import { heard, reached } from './heard.js';
import type { PackContext } from './rules.js';
import { namesLimit, ruleBase, ruleShape } from './rules.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';
import { id, period, quantityOf } from './values.js';

/** Below it the standard deviation from moving ranges is hardly more than a guess. */
const fewestReadings = 5;
const usual = { atLeast: 8, smoothing: 0.2 };

const present: Decoder<true> = () => true;

const measure: Decoder<Measure> = (spot) => {
  const name = text(spot);
  if (name === undefined) return undefined;
  const message = `${quoted(name)} is not followed over time; the measures are ${oneOf([...measures.keys()])}.`;
  return measures.get(name) ?? fault(spot, 'unknown-fact', message, near(name, measures.keys()));
};

const readings: Decoder<number> = (spot) => {
  const value = count(spot);
  if (value === undefined || (value >= fewestReadings && value <= kept.readings)) return value;
  return fault(spot, 'trend-wrong', `atLeast is ${fewestReadings} to ${kept.readings} readings, not ${value}.`);
};

const weight: Decoder<number> = (spot) => {
  const value = number(spot);
  if (value === undefined || (value > 0 && value <= 1)) return value;
  return fault(spot, 'trend-wrong', `smoothing is the weight of the latest reading: above 0 and at most 1.`);
};

/** Days ahead. */
const ahead: Decoder<number> = (spot) => {
  const value = period(spot);
  if (value === undefined) return undefined;
  const days = value.unit === 'd' ? value.count : value.unit === 'wk' ? 7 * value.count : undefined;
  if (days !== undefined && days <= 90) return days;
  return fault(spot, 'trend-wrong', 'A forecast looks at most 90 d ahead, in d or wk.');
};

/** A measure on a control chart: a check at each of its readings. */
export function trend(context: PackContext): Decoder<Check> {
  const shape = {
    ...ruleShape(context),
    of: required(measure),
    centre: optional(present),
    leastSpread: required(present),
    atLeast: optional(readings),
    smoothing: optional(weight),
    also: optional(oneOrMore(word(askedFor))),
    forecast: optional(present),
    when: required(condition(context.references)),
  };
  return (spot) => {
    const from = context.references.used.length;
    const got = mapping(spot, shape);
    if (got === undefined) return undefined;
    const { of, when, atLeast = usual.atLeast, smoothing = usual.smoothing, also = [] } = got.values;
    const fact = facts.get(of?.fact ?? '');
    if (of === undefined || fact === undefined) return undefined;
    const centre = got.has('centre') ? centreOf(got.at('centre'), fact) : 'own';
    const leastSpread = got.has('leastSpread') ? quantityOf(fact, 'span')(got.at('leastSpread'))?.canonical : undefined;
    if (leastSpread !== undefined && !(leastSpread > 0))
      fault(got.at('leastSpread'), 'trend-wrong', 'leastSpread is above 0: no reading is without error.');
    const forecast = got.has('forecast')
      ? mapping(got.at('forecast'), { limit: required(id), within: required(ahead) })
      : undefined;
    if (forecast?.values.limit !== undefined)
      context.references.judged(forecast.at('limit'), forecast.values.limit, fact, 'outside');
    context.references.belongs(from, { on: of.on });
    if (when !== undefined) heard(got.at('when'), when, of.on, 'trend');
    if (got.values.for !== undefined) reached(got.at('for'), got.values.for, of.on);
    const base = ruleBase(spot, got, when === undefined ? undefined : namesLimit(when), context);
    if (base === undefined || got.whole === undefined || centre === undefined || leastSpread === undefined)
      return undefined;
    if (!(leastSpread > 0) || (forecast !== undefined && forecast.whole === undefined)) return undefined;
    const spec: Trend = {
      ...{ of: of.fact, atLeast, centre, leastSpread, smoothing, also },
      ...(forecast?.whole === undefined ? {} : { forecast: forecast.whole }),
    };
    const { when: condition } = got.whole;
    return { kind: 'check', ...base, on: of.on, about: of.per, when: condition, clears: 'passing', trend: spec };
  };
}

function centreOf(spot: Spot, fact: FactDefinition): Trend['centre'] | undefined {
  const written = isScalar(spot.node) ? spot.node.value : undefined;
  const named = (['own', 'setup'] as const).find((each) => each === written);
  return named ?? quantityOf(fact)(spot)?.canonical;
}
