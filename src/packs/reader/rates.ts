import { isScalar } from 'yaml';
import { facts } from '../facts.js';
import { kept } from '../measures.js';
import type { Check, Rate } from '../model.js';
import { condition } from './condition.js';
import { count, mapping, required, word } from './decode.js';
import type { Decoder } from './decode.js';
import { heard } from './heard.js';
import type { PackContext } from './rules.js';
import { namesLimit, ruleBase, ruleShape } from './rules.js';
import { fault } from './spot.js';
import { period, quantityOf } from './values.js';

const days: Decoder<number> = (spot) => {
  const value = period(spot);
  if (value === undefined) return undefined;
  const whole = value.unit === 'd' ? value.count : value.unit === 'wk' ? 7 * value.count : undefined;
  if (whole !== undefined && whole <= kept.days) return whole;
  return fault(spot, 'trend-wrong', `A rate is of whole site-days, at most ${kept.days} d, in d or wk.`);
};

const atLeast: Decoder<number> = (spot) => {
  const value = count(spot);
  if (value === undefined || value > 0) return value;
  return fault(spot, 'trend-wrong', 'atLeast is a number of exposures above 0: of none there is no share.');
};

const against: Decoder<number | 'rest'> = (spot) => {
  if (isScalar(spot.node) && spot.node.value === 'rest') return 'rest';
  const share = facts.get('rate.share');
  const value = share === undefined ? undefined : quantityOf(share)(spot)?.canonical;
  if (value === undefined || (value > 0 && value < 100)) return value;
  return fault(spot, 'trend-wrong', 'A share to be held against is above 0 % and below 100 %, or the word rest.');
};

/** A share of exposures, judged at the end of each site-day that counted something (law L15). */
export function rate(context: PackContext): Decoder<Check> {
  const { for: _lines, ...shared } = ruleShape(context);
  const shape = {
    ...shared,
    of: required(word(['retakes', 'rejects'])),
    per: required(word(['site', 'tube', 'operator'])),
    over: required(days),
    atLeast: required(atLeast),
    against: required(against),
    when: required(condition(context.references)),
  };
  return (spot) => {
    const from = context.references.used.length;
    const got = mapping(spot, shape);
    if (got === undefined) return undefined;
    context.references.belongs(from, { on: [] });
    const { per, against: share, severity, when } = got.values;
    if (per === 'site' && share === 'rest')
      fault(got.at('against'), 'trend-wrong', 'A whole site has no rest; hold it against a share, such as 10 %.');
    const limited = when !== undefined && namesLimit(when);
    // A pattern that follows a person is a hint and never a verdict (law L17f).
    if (per === 'operator' && (limited || (severity !== undefined && severity !== 'advice')))
      fault(
        got.at(limited ? 'when' : 'severity'),
        'trend-wrong',
        'What follows a person is a hint: its severity is advice, and no limit is held against it.',
      );
    if (when !== undefined) heard(got.at('when'), when, [], 'rate');
    const base = ruleBase(spot, got, when === undefined ? undefined : limited, context);
    if (base === undefined || got.whole === undefined) return undefined;
    if ((per === 'site' && share === 'rest') || (per === 'operator' && severity !== 'advice')) return undefined;
    const { of, over, atLeast: least, when: condition } = got.whole;
    const spec: Rate = { of, per: got.whole.per, days: over, atLeast: least, against: got.whole.against };
    const about = spec.per === 'tube' ? 'tube' : 'site';
    return { kind: 'check', ...base, on: [], about, when: condition, clears: 'passing', rate: spec };
  };
}
