import { bindingLayers, layers } from '../model.js';
import type { Citation, Layer, Limit, Pack, Rule } from '../model.js';
import { sayBound } from '../say.js';
import { covers } from '../strictness.js';
import { atMost } from '../../events/units.js';
import { contentCaps } from './caps.js';
import { chart } from './charts.js';
import { check } from './checks.js';
import { entriesOf, itemsOf, list, mapping, optional, required, text, word } from './decode.js';
import type { Decoder, Field } from './decode.js';
import { oneOf } from './diagnostic.js';
import { defectFields, defectsOf } from './defects.js';
import { duty } from './duties.js';
import { cite, limit } from './limits.js';
import { rate } from './rates.js';
import type { References } from './references.js';
import { technique } from './techniques.js';
import { packTests } from './tests.js';
import { trend } from './trends.js';
import { version } from './version.js';
import { citation, date, id } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

const ruleFields = ['checks', 'duties', 'trends', 'rates'] as const;

/** A whole pack file. The header is read first: its citation is the default of everything below. */
export function pack(references: References): Decoder<Pack> {
  return (spot) => {
    const header = entriesOf(spot);
    if (header === undefined) return undefined;
    const quiet = new Map(header.map((entry) => [entry.key, entry.value]));
    const source = quiet.has('citation') ? (silently(quiet.get('citation'), citation) ?? faultyCitation) : undefined;
    const context = { pack: silently(quiet.get('pack'), id), source, references };

    const notKnown = list(
      (at) => {
        const got = mapping(at, { topic: required(text), note: required(text), citation: optional(citation) });
        if (got === undefined) return undefined;
        const cited = cite(at, got.values.citation, source, got.has('citation'));
        return got.whole === undefined || cited === undefined ? undefined : { ...got.whole, citation: cited };
      },
      (index) => `notKnown ${index + 1}`,
    );
    const got = mapping(spot, {
      pack: required(id),
      version: required(version),
      title: required(text),
      authority: required(text),
      layer: required(word(layers)),
      jurisdiction: optional(id),
      from: optional(date),
      to: optional(date),
      citation: optional(citation),
      charts: named('chart', chart(references, source)),
      techniques: named('technique', technique(source)),
      limits: named('limit', limit(references, source)),
      checks: named('check', check(context)),
      duties: named('duty', duty(context)),
      trends: named('trend', trend(context)),
      rates: named('rate', rate(context)),
      tests: optional(packTests(context)),
      notKnown: optional(notKnown),
      ...defectFields(context),
    });
    if (got === undefined) return undefined;
    if (got.values.jurisdiction !== undefined)
      references.define('jurisdiction', got.at('jurisdiction'), got.values.jurisdiction);
    const { from, to } = got.values;
    if (from !== undefined && to !== undefined && to < from)
      fault(got.at('to'), 'bad-date', `The last day, ${to}, is before the first, ${from}.`);
    for (const field of ['charts', 'techniques', 'tables', 'signs', 'causes', 'clues']) unique([quiet.get(field)]);
    unique(ruleFields.map((field) => quiet.get(field)));
    sameRungs(quiet.get('limits'), got.values.limits);
    keepable(quiet.get('limits'), got.values.limits);
    lawBinds(
      ['limits', ...ruleFields].map((field) => quiet.get(field)),
      got.values.layer,
    );
    if (got.whole === undefined) return undefined;
    const {
      charts = [],
      limits = [],
      checks = [],
      duties = [],
      trends = [],
      rates = [],
      notKnown: open = [],
      tables,
      signs,
      causes,
      clues,
      confirmed,
      citation: _source,
      ...head
    } = got.whole;
    const { pack: packId, ...rest } = head;
    const rules: readonly Rule[] = [...checks, ...duties, ...trends, ...rates];
    const events = [...rules.flatMap(({ tests }) => tests), ...(rest.tests ?? [])].flatMap((test) => test.events);
    if (events.length > contentCaps.events && events.some(({ after }) => after !== undefined))
      return fault(
        spot,
        'too-large',
        `Its tests have ${events.length} events, repeated ones counted; the cap is ${contentCaps.events}.`,
      );
    return {
      id: packId,
      ...rest,
      limits,
      charts,
      ...defectsOf({ tables, signs, causes, clues, confirmed }),
      rules,
      notKnown: open,
    };
  };
}

/** Stands in for a citation with faults of its own, so that nothing below complains of lacking one. */
const faultyCitation: Citation = { text: '', read: 'text' };

/** A list whose items are called by their id in faults. */
function named<T>(kind: string, read: Decoder<T>): Field<readonly T[], false> {
  return optional(list((item) => read({ ...item, name: called(kind, item) })));
}

function called(kind: string, item: Spot): string {
  const own = idOf(item);
  return own === undefined ? `a ${kind}` : `${kind} ${own.name}`;
}

/** The id of an item, if it has one that can be read. */
function idOf(item: Spot): { name: string; spot: Spot } | undefined {
  const spot = silently(item, (at) => entriesOf(at))?.find((entry) => entry.key === 'id')?.value;
  const name = spot === undefined ? undefined : silently(spot, text);
  return name === undefined || spot === undefined ? undefined : { name, spot };
}

/** Ids stand once in their lists. */
function unique(lists: readonly (Spot | undefined)[]): void {
  const seen = new Set<string>();
  for (const spot of lists)
    for (const item of (spot === undefined ? undefined : silently(spot, (at) => itemsOf(at))) ?? []) {
      const own = idOf(item);
      if (own === undefined) continue;
      if (seen.has(own.name)) fault(own.spot, 'duplicate-id', `The id ${own.name} is already taken in this pack.`);
      seen.add(own.name);
    }
}

/**
 * A limit's id may stand several times in a pack, for other lines or at another severity; two that speak of the same
 * lines, on the same side and with the same weight contradict or repeat each other.
 */
function sameRungs(spot: Spot | undefined, limits: readonly Limit[] | undefined): void {
  const items = spot === undefined || limits === undefined ? [] : (silently(spot, (at) => itemsOf(at)) ?? []);
  const seen = new Set<string>();
  limits?.forEach((each, index) => {
    for (const side of ['min', 'max'] as const) {
      if (each[side] === undefined) continue;
      const rung = JSON.stringify([each.id, side, each.severity, each.for, each.role]);
      const own = seen.has(rung) && items[index] !== undefined ? idOf(items[index]) : undefined;
      if (own !== undefined)
        fault(
          own.spot,
          'duplicate-id',
          `The limit ${each.id} has a ${side} of this severity for the same lines already.`,
        );
      seen.add(rung);
    }
  });
}

/** A pack that says a least above its own most, of the same lines, cannot be kept by anybody. */
function keepable(spot: Spot | undefined, limits: readonly Limit[] | undefined): void {
  const items = spot === undefined || limits === undefined ? [] : (silently(spot, (at) => itemsOf(at)) ?? []);
  const seen = new Map<string, Limit[]>();
  limits?.forEach((each, index) => {
    const others = seen.get(each.id) ?? [];
    seen.set(each.id, [...others, each]);
    const other = others.find((one) => isCrossed(one, each) || isCrossed(each, one));
    const own = items[index] === undefined ? undefined : idOf(items[index]);
    if (other === undefined || own === undefined) return;
    const [low, high] = isCrossed(other, each) ? [other, each] : [each, other];
    const least = low.min === undefined ? '' : sayBound('min', low.min);
    const most = high.max === undefined ? '' : sayBound('max', high.max);
    fault(own.spot, 'bad-range', `The limit ${each.id} says ${least} and ${most} of the same lines.`);
  });
}

function isCrossed({ of, min, for: low }: Limit, { of: same, max, for: high }: Limit): boolean {
  if (of !== same || min?.kind !== 'quantity' || max?.kind !== 'quantity') return false;
  return !atMost(min.quantity.canonical, max.quantity.canonical) && (covers(low, high) || covers(high, low));
}

/** Whoever does not make law breaks none: a maker, common practice and an office speak at a lower severity. */
function lawBinds(lists: readonly (Spot | undefined)[], layer: Layer | undefined): void {
  if (layer === undefined || bindingLayers.includes(layer)) return;
  for (const spot of lists)
    for (const item of (spot === undefined ? undefined : silently(spot, (at) => itemsOf(at))) ?? []) {
      const at = silently(item, (each) => entriesOf(each))?.find(({ key }) => key === 'severity')?.value;
      if (at === undefined || silently(at, text) !== 'law') continue;
      const message = `The severity law is for the layers that bind (${oneOf(bindingLayers)}); the layer ${layer} says standard, warning or advice.`;
      fault(at, 'law-not-binding', message);
    }
}

/** Read something that is read again where its faults belong; here they are dropped. */
function silently<T>(spot: Spot | undefined, read: Decoder<T>): T | undefined {
  if (spot === undefined) return undefined;
  const { diagnostics } = spot.reading;
  const before = diagnostics.length;
  const value = read(spot);
  diagnostics.length = before;
  return value;
}
