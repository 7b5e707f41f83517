import { bindingLayers, layers, severities } from '../model.js';
import type { Bound, Chart, Limit, Pack } from '../model.js';
import { sayBound, sayBoundsOf } from '../say.js';
import {
  Budget,
  clash,
  constant,
  covers,
  curveOf,
  isNeverShorter,
  isNoStricter,
  isNoStricterMultiple,
} from '../strictness.js';
import type { Curve, Side } from '../strictness.js';
import type { Diagnostic } from './diagnostic.js';
import type { PackRead } from './index.js';
import { meanwhile, meets } from './placed.js';
import { twoSheets } from './sheets.js';
import { unjudged } from './unjudged.js';

/** A limit with its pack and its place in the file. */
interface Placed {
  readonly pack: Pack;
  readonly limit: Limit;
  readonly at: Pick<Diagnostic, 'file' | 'line' | 'column' | 'endLine' | 'endColumn' | 'path'>;
}

/**
 * What can be said of limits before any site is known: those of an office or a maker that the law leaves no room for,
 * those that cannot be kept together, those that no rule judges, and sheets of which another is used. All are accepted;
 * only what holds wherever the pack applies, or at a place that is named, is told.
 */
export function checkLayers(reads: readonly PackRead[]): Diagnostic[] {
  const placed = reads.flatMap(placedIn);
  const ladders = new Map<string, Placed[]>();
  for (const each of placed) {
    const ladder = ladders.get(each.limit.id);
    if (ladder === undefined) ladders.set(each.limit.id, [each]);
    else ladder.push(each);
  }
  const budget = new Budget(60_000);
  const charts = new Map(reads.flatMap(({ pack }) => pack?.charts ?? []).map((chart) => [chart.id, chart]));
  return [
    ...[...ladders.values()].flatMap((ladder) => [
      ...ladder.flatMap((one) => idle(one, ladder, charts, budget)),
      ...ladder.flatMap((one) => impossible(one, ladder, charts, budget)),
    ]),
    ...unjudged(reads),
    ...twoSheets(reads),
  ];
}

function placedIn({ pack, defined }: PackRead): Placed[] {
  if (pack === undefined) return [];
  // A pack without fault defines its limits one by one, in the order of the file.
  const places = defined.filter(({ kind }) => kind === 'limit');
  return pack.limits.flatMap((limit, index) => {
    const at = places[index]?.at;
    return at === undefined ? [] : [{ pack, limit, at }];
  });
}

const isClinic = ({ layer }: Pack) => layer === 'clinic';
const binds = ({ layer }: Pack) => bindingLayers.includes(layer);

function idle(
  one: Placed,
  ladder: readonly Placed[],
  charts: ReadonlyMap<string, Chart>,
  budget: Budget,
): Diagnostic[] {
  if (binds(one.pack) || one.pack.layer === 'practice') return [];
  return (['min', 'max'] as const).flatMap((side) => {
    const bound = one.limit[side];
    if (bound === undefined) return [];
    const stricter = ladder.filter(
      (law) =>
        binds(law.pack) &&
        law.limit.of === one.limit.of &&
        covers(law.limit.for, one.limit.for) &&
        severities.indexOf(law.limit.severity) >= severities.indexOf(one.limit.severity) &&
        law.limit.role === undefined &&
        one.limit.role === undefined &&
        isIdleBeside(side, bound, law.limit[side], charts, budget),
    );
    // An office may lie in a place that its pack does not name: then it is told where, or when, its limit does nothing.
    const met = stricter.flatMap((law) => {
      const [where, when] = [meets(one.pack, law.pack), meanwhile(one.pack, law.pack)];
      return where === undefined || when === undefined ? [] : [{ law, where, when: `${when.from}${when.to}` }];
    });
    const always = met.find(({ where, when }) => where === '' && when === '');
    const local = isClinic(one.pack) || one.pack.jurisdiction !== undefined ? met : [];
    const found = always === undefined ? local : [always];
    return found.map(({ law: { pack, limit }, where, when }): Diagnostic => {
      const stands = limit[side];
      const law = stands === undefined ? '' : `, ${sayBound(side, stands)}`;
      const message = `${one.limit.id} of ${one.pack.id}, ${sayBound(side, bound)}, has no effect${where}${when}: ${limit.citation.text} (${pack.id}) is as strict or stricter${law}.`;
      return { ...one.at, code: 'no-effect', severity: 'warning', message };
    });
  });
}

function isIdleBeside(
  side: Side,
  bound: Bound,
  law: Bound | undefined,
  charts: ReadonlyMap<string, Chart>,
  budget: Budget,
): boolean {
  if (law === undefined || !budget.spend(1)) return false;
  if (bound.kind === 'period' || law.kind === 'period')
    return (
      side === 'max' && bound.kind === 'period' && law.kind === 'period' && isNeverShorter(bound.period, law.period)
    );
  if (bound.kind === 'fact' && law.kind === 'fact')
    return bound.fact === law.fact && isNoStricterMultiple(side, bound.times, law.times);
  const [one, other] = [plainCurve(bound, charts), plainCurve(law, charts)];
  return one !== undefined && other !== undefined && isNoStricter(side, one, other, budget);
}

function plainCurve(bound: Bound, charts: ReadonlyMap<string, Chart>): Curve | undefined {
  if (bound.kind === 'quantity') return constant(bound.quantity.canonical);
  const chart = bound.kind === 'chart' ? charts.get(bound.chart) : undefined;
  return chart && bound.kind === 'chart' ? curveOf(chart, bound.plus?.canonical ?? 0) : undefined;
}

/** A minimum of one above a maximum of another, wherever one of the two applies. */
function impossible(
  one: Placed,
  ladder: readonly Placed[],
  charts: ReadonlyMap<string, Chart>,
  budget: Budget,
): Diagnostic[] {
  const standing = (each: Placed) => (binds(each.pack) || isClinic(each.pack)) && each.limit.role === undefined;
  if (!standing(one)) return [];
  return ladder.flatMap((other) => {
    // Told once of two, at the one that has to give way.
    if (!standing(other) || other === one || givesWay(other, one)) return [];
    if (other.pack === one.pack && ladder.indexOf(other) > ladder.indexOf(one)) return [];
    const [place, when] = [meets(one.pack, other.pack), meanwhile(one.pack, other.pack)];
    if (place === undefined || when === undefined || other.limit.of !== one.limit.of) return [];
    if (!covers(other.limit.for, one.limit.for) && !covers(one.limit.for, other.limit.for)) return [];
    const pairs = [
      [one.limit.min, other.limit.max],
      [other.limit.min, one.limit.max],
    ] as const;
    return pairs.flatMap(([min, max]): Diagnostic[] => {
      const low = min && plainCurve(min, charts);
      const high = max && plainCurve(max, charts);
      if (low === undefined || high === undefined || clash(low, high, budget) === undefined) return [];
      const where = `${place}${when.from}${when.to}`;
      const says = ({ pack, limit }: Placed) => `${limit.citation.text} (${pack.id}) says ${sayBoundsOf(limit)}`;
      const message = `${one.limit.id} cannot be kept${where}: ${says(one)}, ${says(other)}.`;
      return [{ ...one.at, code: 'limits-conflict', severity: 'warning', message }];
    });
  });
}

function givesWay(one: Placed, other: Placed): boolean {
  const rank = layers.indexOf(one.pack.layer) - layers.indexOf(other.pack.layer);
  return rank === 0 ? one.pack.id > other.pack.id : rank > 0;
}
