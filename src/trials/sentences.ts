import { fromCanonical } from '../events/units.js';
import { facts } from '../packs/facts.js';
import type { Bound, Condition, Leaf, Selector } from '../packs/model.js';
import { sayBare, sayQuantity } from '../packs/say.js';

/** Parts of packs as a person reads them, where no site is at hand. */

/** "60 F", "2 months", "by the chart us-wa/manual-chart plus 30 s", "2 × clearing time". */
export function sayBoundOf(bound: Bound): string {
  if (bound.kind !== 'chart') return sayBare(bound);
  return `by the chart ${bound.chart}${bound.plus === undefined ? '' : ` plus ${sayQuantity(bound.plus)}`}`;
}

/** "run.developer.time below limit development-time-min". */
export function sayLeaf({ fact, operator, value }: Leaf): string {
  return `${fact} ${operator} ${sayOperand(fact, value)}`;
}

function sayOperand(fact: string, value: Leaf['value']): string {
  if (Array.isArray(value)) return value.join(', ');
  if (typeof value === 'object' && value !== null)
    return 'limit' in value ? `limit ${value.limit}` : 'fact' in value ? value.fact : '';
  const unit = facts.get(fact)?.unit;
  if (typeof value !== 'number' || unit === undefined || unit === '1') return String(value);
  return unit === 'd' ? `${value} d` : `${Number(fromCanonical(value, unit).toPrecision(9))} ${unit}`;
}

/** A tree on one line: "all of (a, not b)". */
export function sayCondition(condition: Condition): string {
  if ('fact' in condition) return sayLeaf(condition);
  if ('not' in condition) return `not ${sayCondition(condition.not)}`;
  const [word, list] = 'all' in condition ? ['all', condition.all] : ['any', condition.any];
  return `${word} of (${list.map(sayCondition).join('; ')})`;
}

/** "manual, standard"; empty where it selects everything. */
export function saySelector(selector: Selector): string {
  return Object.values(selector)
    .map((words) => (words as readonly string[] | undefined)?.join(' or ') ?? '')
    .filter((words) => words !== '')
    .join(', ');
}
