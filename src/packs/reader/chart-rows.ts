import { isMap, isScalar, isSeq } from 'yaml';
import { atMost, same } from '../../events/units.js';
import type { ChartGap, ChartRow } from '../model.js';
import { itemsOf, list, mapping, number, optional } from './decode.js';
import type { Decoder } from './decode.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/** The parts of a chart that hold its numbers, still in the units of the file. */

/** `[key, value]`, or `[key, second key, value]` in a chart by two facts; ascending. */
export function rows(spot: Spot, isCell: boolean): readonly ChartRow[] | undefined {
  const items = itemsOf(spot, (index) => `row ${index + 1}`);
  if (items === undefined) return undefined;
  if (items.length === 0) return fault(spot, 'missing-field', 'A chart needs at least one row.');
  let whole = true;
  let last: readonly [number, number] | undefined;
  const read = items.map((item): ChartRow => {
    const numbers = numbersOf(item, isCell ? ['key', 'second key', 'value'] : ['key', 'value'], 'A row');
    if (numbers === undefined) {
      whole = false;
      return { key: 0, value: 0 };
    }
    const [key = 0, and = 0] = numbers;
    const second = isCell ? and : 0;
    const rises =
      last === undefined || !atMost(key, last[0]) || (isCell && same(key, last[0]) && !atMost(second, last[1]));
    if (!rises && last !== undefined) {
      whole = false;
      const within = isCell && same(key, last[0]) ? 1 : 0;
      const keySpot = itemsOf(item)?.[within] ?? item;
      fault(
        keySpot,
        'rows-not-ascending',
        `The ${within === 1 ? 'second ' : ''}key ${written(keySpot, within === 1 ? second : key)} does not rise above the row before it, ${last[within]}.`,
      );
    }
    last = last === undefined || key >= last[0] ? [key, second] : last;
    return { key, ...(isCell ? { and: second } : {}), value: numbers.at(-1) ?? 0 };
  });
  return whole ? read : undefined;
}

/** `79`, or `[79, 5]` for one cell of a chart by two facts. */
export function doubtfulKeys(spot: Spot, isCell: boolean): readonly (number | readonly [number, number])[] | undefined {
  const one: Decoder<number | readonly [number, number]> = (item) => {
    if (!isCell || !isSeq(item.node)) return number(item);
    const [key, and] = numbersOf(item, ['key', 'second key'], 'A doubtful cell') ?? [];
    return key === undefined || and === undefined ? undefined : [key, and];
  };
  return list(one)(spot);
}

/** `[70, 72]` between two keys of the rows, or `{ by: [70, 72] }`, `{ and: [5, 10] }`. */
export function gaps(
  spot: Spot,
  isCell: boolean,
  read: readonly ChartRow[] | undefined,
): readonly ChartGap[] | undefined {
  const columns = {
    by: read?.map(({ key }) => key),
    and: read?.flatMap(({ and }) => and ?? []),
  };
  const ends =
    (of: 'by' | 'and'): Decoder<ChartGap> =>
    (at) => {
      const [from, to] = numbersOf(at, ['lower key', 'upper key'], 'A gap') ?? [];
      if (from === undefined || to === undefined) return undefined;
      if (atMost(to, from)) return fault(at, 'bad-range', `The gap ends at ${to}, not above ${from}, where it begins.`);
      const odd = [from, to].find((end) => columns[of]?.some((key) => same(key, end)) === false);
      return odd === undefined
        ? { of, from, to }
        : fault(at, 'chart-wrong', `A gap runs from a key of the rows to another; ${odd} is none.`);
    };
  const one: Decoder<readonly ChartGap[]> = (item) => {
    if (!isMap(item.node)) {
      const gap = ends('by')(item);
      return gap && [gap];
    }
    const got = mapping(
      item,
      isCell ? { by: optional(ends('by')), and: optional(ends('and')) } : { by: optional(ends('by')) },
    );
    if (got?.whole === undefined) return undefined;
    const found = Object.values(got.whole as Record<string, ChartGap | undefined>).filter((gap) => gap !== undefined);
    return found.length === 0 ? fault(item, 'missing-field', `${item.name} has no keys.`) : found;
  };
  return list(one, (index) => `gap ${index + 1}`)(spot)?.flat();
}

function numbersOf(spot: Spot, names: readonly string[], what: string): readonly number[] | undefined {
  const items = itemsOf(spot, (index) => names[index] ?? 'value');
  if (items === undefined) return undefined;
  const numbers = items.map(number);
  if (numbers.length !== names.length) {
    const example = names.length === 3 ? '[68, 10, 5]' : '[68, 5]';
    return fault(
      spot,
      'wrong-type',
      `${what} is ${names.map((name) => `a ${name}`).join(' and ')}, such as ${example}; this one has ${numbers.length} of them.`,
    );
  }
  const good = numbers.filter((each) => each !== undefined);
  return good.length === numbers.length ? good : undefined;
}

const written = (spot: Spot, value: number) => (isScalar(spot.node) ? (spot.node.source ?? value) : value);
