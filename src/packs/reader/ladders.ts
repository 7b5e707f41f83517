import { facts } from '../facts.js';
import type { Limit } from '../model.js';
import { bindingLayers } from '../model.js';
import { oneOf } from './diagnostic.js';
import type { Diagnostic, FaultCode } from './diagnostic.js';
import { comes, unanswered } from './heard.js';
import type { PackRead } from './index.js';
import type { Place, Reference } from './references.js';
import { fits } from './units.js';

type ByName = ReadonlyMap<string, readonly Reference[]>;

/**
 * Whether limits of one name, the charts that answer for them, and the checks and duties that look at them fit together:
 * what could never be judged is a fault, at the part that would have to give way.
 */
export function checkLadders(limits: ByName, charts: ByName, reads: readonly PackRead[]): Diagnostic[] {
  const uses = new Map<string, Reference[]>();
  for (const use of reads.flatMap(({ used }) => used)) {
    if (use.judged?.on === undefined && use.owed?.per === undefined) continue;
    const list = uses.get(use.name);
    if (list === undefined) uses.set(use.name, [use]);
    else list.push(use);
  }
  const bounded = new Map([...limits].map(([name, rungs]) => [name, boundedBy(rungs, uses.get(name) ?? [], reads)]));
  return [
    ...[...limits].flatMap(([name, rungs]) => {
      // Another unit is told as that.
      const own = (uses.get(name) ?? []).filter(
        ({ of }) => of === undefined || rungs.every((rung) => rung.of === undefined || fits(of.unit, rung.of.unit)),
      );
      const never = own.map((use) => neverMet(use, rungs));
      return [
        ...rungs.flatMap((rung) => otherFact(rung, bounded.get(name))),
        ...never.flat(),
        // Where nobody could be met, what nobody looks at is the same fault.
        ...(own.length > 0 && never.every((each) => each.length > 0)
          ? []
          : rungs.flatMap((rung) => neverLookedAt(rung, own))),
        ...rungs.flatMap((rung) => neverKnown(rung, own, charts)),
        ...rungs.flatMap((rung) => byOther(rung, charts)),
      ];
    }),
    ...[...charts.values()].flat().flatMap((chart) => {
      const answers = chart.table?.value.answers ?? '';
      return [...givesOther(chart, bounded.get(answers)), ...neverLookedUp(chart, uses.get(answers) ?? [])];
    }),
  ];
}

/** The fact that a name is about: what its checks compare, else what the law bounds, else what the first pack does. */
function boundedBy(
  rungs: readonly Reference[],
  uses: readonly Reference[],
  reads: readonly PackRead[],
): string | undefined {
  const facts = rungs.flatMap(({ of }) => of?.fact ?? []);
  const compared = facts.find((fact) => uses.some(({ of, judged }) => judged !== undefined && of?.fact === fact));
  const laws = new Set(reads.filter(({ pack }) => pack && bindingLayers.includes(pack.layer)).map(({ file }) => file));
  return compared ?? rungs.find(({ at }) => laws.has(at.file))?.of?.fact ?? facts[0];
}

function otherFact({ name, of, at, rung }: Reference, fact: string | undefined): Diagnostic[] {
  // Another unit is told as that.
  if (of === undefined || fact === undefined || of.fact === fact || !fits(of.unit, facts.get(fact)?.unit)) return [];
  const message = `Limits of one name bound one fact: ${name} is of ${fact}, so a limit of ${of.fact} needs a name of its own.`;
  return [told(rung?.at('of') ?? at, 'fact-mismatch', message, fact)];
}

/** A chart that gives another fact than the limit it answers is of would be taken for it. */
function givesOther({ name, table }: Reference, fact: string | undefined): Diagnostic[] {
  if (table === undefined || fact === undefined || table.value.gives === fact) return [];
  const { answers, gives } = table.value;
  if (!fits(facts.get(gives)?.unit, facts.get(fact)?.unit)) return [];
  const message = `The chart ${name} answers ${answers}, which is of ${fact}; it gives ${gives}.`;
  return [told(table.at('gives'), 'fact-mismatch', message, fact)];
}

/** A bound is looked up in a chart of its own fact. */
function byOther({ rung }: Reference, charts: ByName): Diagnostic[] {
  if (rung === undefined) return [];
  const { of, min, max } = rung.value;
  return [...new Set([min, max].flatMap((bound) => (bound?.kind === 'chart' ? bound.chart : [])))].flatMap((name) => {
    const gives = charts.get(name)?.find(({ table }) => table !== undefined)?.table?.value.gives;
    if (gives === undefined || gives === of || !fits(facts.get(gives)?.unit, facts.get(of)?.unit)) return [];
    const side = (['min', 'max'] as const).find((each) => rung.has(each)) ?? 'range';
    return [told(rung.at(side), 'fact-mismatch', `The chart ${name} gives ${gives}; this limit is of ${of}.`, of)];
  });
}

const sidesOf = { below: ['min'], above: ['max'], outside: ['min', 'max'] } as const;

/** The sides of a limit that a use of its name looks at. */
function sidesUsed({ judged, owed }: Reference, limit: Limit): ('min' | 'max')[] {
  if (owed !== undefined) return limit.max?.kind === 'period' ? ['max'] : [];
  const sides = judged === undefined ? [] : (sidesOf[judged.operator as keyof typeof sidesOf] ?? []);
  return sides.filter((side) => limit[side] !== undefined && limit[side].kind !== 'period');
}

/** Why a use can never have a word of this limit: the event or the duty does not say what the limit is for. */
function strange({ judged, owed }: Reference, { for: selector }: Limit): string | undefined {
  if (owed?.per !== undefined) {
    const { per } = owed;
    const asked = Object.keys(selector).filter((word) => selector[word as keyof typeof selector] !== undefined);
    const word = per === 'bath' ? undefined : per === 'line' ? asked.find((each) => each === 'bath') : asked[0];
    return word && `a duty for each ${per} says nothing of the ${word}`;
  }
  const on = judged?.on ?? [];
  const words = on.map((type) => unanswered(selector, type));
  const [word] = words;
  return word === undefined || words.includes(undefined) ? undefined : `${oneOf(on)} says nothing of the ${word}`;
}

/** A check or duty by a limit of which no word could ever reach it. */
function neverMet(use: Reference, rungs: readonly Reference[]): Diagnostic[] {
  const known = rungs.flatMap(({ rung }) => rung?.value ?? []);
  if (known.length < rungs.length || known.length === 0) return [];
  const sided = known.filter((limit) => sidesUsed(use, limit).length > 0);
  if (sided.length === 0) {
    const message =
      use.owed !== undefined
        ? `No pack gives ${use.name} a period, such as max: 60 d; no duty could ever be owed by it.`
        : `No pack gives ${use.name} a ${use.judged?.operator === 'above' ? 'max' : 'min'}; nothing is ever ${use.judged?.operator} it.`;
    return [told(use.at, 'not-evaluable-ever', message)];
  }
  const whys = sided.map((limit) => strange(use, limit));
  const [why] = whys;
  if (why === undefined || whys.includes(undefined)) return [];
  return [told(use.at, 'not-evaluable-ever', `No limit ${use.name} could ever be judged here: ${why}.`)];
}

/** A limit that nobody who looks at its name could ever be bound by. */
function neverLookedAt({ name, at, rung }: Reference, uses: readonly Reference[]): Diagnostic[] {
  if (rung === undefined || uses.length === 0) return [];
  const sided = uses.filter((use) => sidesUsed(use, rung.value).length > 0);
  if (sided.length === 0) {
    const wanted = uses.some(({ owed }) => owed !== undefined) ? 'period' : 'side';
    const message = `Nothing looks at this ${wanted === 'period' ? 'bound' : 'side'} of ${name}: it would never be judged.`;
    return [told(at, 'not-evaluable-ever', message)];
  }
  const whys = sided.map((use) => strange(use, rung.value));
  const [why] = whys;
  if (why === undefined || whys.includes(undefined)) return [];
  return [told(rung.at('for'), 'not-evaluable-ever', `This limit ${name} would never be judged: ${why}.`)];
}

/** A bound by a fact, or by a chart of a fact, that never comes where the limit is judged. */
function neverKnown({ name, rung }: Reference, uses: readonly Reference[], charts: ByName): Diagnostic[] {
  if (rung === undefined) return [];
  const found = new Map<string, Diagnostic>();
  for (const side of ['min', 'max'] as const) {
    const bound = rung.value[side];
    const needed =
      bound?.kind === 'fact'
        ? [bound.fact]
        : bound?.kind === 'chart'
          ? (charts.get(bound.chart) ?? []).flatMap(({ table }) =>
              table === undefined ? [] : [table.value.by, table.value.and],
            )
          : [];
    for (const fact of needed) {
      const on = fact === undefined ? undefined : deafTo(fact, uses);
      if (fact === undefined || on === undefined) continue;
      const message = `${fact}, by which this bound is found, never comes with ${oneOf(on)}, where ${name} is judged.`;
      found.set(fact, told(rung.at(rung.has(side) ? side : 'range'), 'not-evaluable-ever', message));
    }
  }
  return [...found.values()];
}

/** A chart, such as a maker's sheet, by a fact that never comes where the limit it answers is judged. */
function neverLookedUp({ name, table }: Reference, uses: readonly Reference[]): Diagnostic[] {
  if (table === undefined) return [];
  return (['by', 'and'] as const).flatMap((column) => {
    const fact = table.value[column];
    const on = fact === undefined ? undefined : deafTo(fact, uses);
    if (fact === undefined || on === undefined) return [];
    const unit = facts.get(fact)?.unit;
    // What comes with those events themselves, in the same unit, is most likely what was meant.
    const near = [...facts.values()].find(
      (each) => unit !== undefined && each.unit === unit && each.fedBy.some((type) => on.includes(type)),
    )?.name;
    const message = `${fact} never comes with ${oneOf(on)}, where ${table.value.answers} is judged: the chart ${name} could never be looked up.${near === undefined ? '' : ` Did you mean ${near}?`}`;
    return [told(table.at(column), 'not-evaluable-ever', message, near)];
  });
}

/** The events at which a name is judged, when a fact comes with none of them and is not kept. */
function deafTo(fact: string, uses: readonly Reference[]): readonly string[] | undefined {
  const on = [...new Set(uses.flatMap(({ judged }) => judged?.on ?? []))];
  return on.length === 0 || comes(fact, on) ? undefined : on;
}

function told(at: Place, code: FaultCode, message: string, near?: string): Diagnostic {
  return { ...at, code, severity: 'error', message, ...(near === undefined ? {} : { nearest: near }) };
}
