import { canonicalJson } from '../../canonical-json.js';
import type { SiteState } from '../../engine/state.js';
import { type Edition, PackBook } from '../../packs/book.js';
import { measures } from '../../packs/measures.js';
import type { Pack, Rule } from '../../packs/model.js';

/**
 * Which rules may come out otherwise under other packs. Rules do not read one another: what a rule finds follows from
 * the facts, its own text and the limits and charts it names. So a trial has to fold only those that differ; the rest
 * finds the same on both sides. What they do share is listed here, and where they share room in a ring (a cap of the
 * state) `SiteTrial` notices that and asks for the whole.
 */
export interface Affected {
  /** Full ids; those that only have to be there for the others to come out right are not among them. */
  readonly rules: ReadonlySet<string>;
  /** The rules to fold: those affected, and what they share a card or an instrument with. */
  readonly folded: ReadonlySet<string>;
  /** Whether `folded` is every rule. */
  readonly whole: boolean;
  /** Ids of packs whose editions differ. */
  readonly packs: ReadonlySet<string>;
}

/**
 * @param until how far the fold goes, ms. Where packs change on one side only, the fold sets the house in order there (a
 * finding on a line that has ended lapses, what is owed is reckoned anew), whosever rules they are: then all are folded.
 */
export function affectedBy(before: readonly Edition[], after: readonly Edition[], until = Infinity): Affected {
  const packs = differing(before, after, (pack) => [[pack.id, textOf(pack)]]);
  const [ours, theirs] = [before, after].map((all) => all.filter(({ pack }) => packs.has(pack.id))) as [
    Edition[],
    Edition[],
  ];
  const charts = differing(ours, theirs, (pack) => pack.charts.map((one) => [one.id, inPack(pack, one)]));
  const limits = differing(ours, theirs, (pack) => pack.limits.map((one) => [one.id, inPack(pack, one)]));
  const all = [...before, ...after].map(({ pack }) => pack);
  for (const pack of all) for (const { id, answers } of pack.charts) if (charts.has(id)) limits.add(answers);
  spread(all, charts, limits);

  const rules = differing(ours, theirs, (pack) => pack.rules.map((one) => [one.id, inPack(pack, untested(one))]));
  const techniques = differing(ours, theirs, (pack) =>
    (pack.techniques ?? []).map((one) => [one.id, inPack(pack, one)]),
  );
  const defects = differing(ours, theirs, (pack) =>
    pack.defects === undefined ? [] : [[pack.id, inPack(pack, pack.defects)]],
  );
  const names = [
    ...[...limits, ...charts, ...(charts.size > 0 ? ['line.makersSheet'] : [])],
    ...(techniques.size > 0 ? byTechnique : []),
    // What is known of causes, and the charts that a film's own numbers come from.
    ...(defects.size + techniques.size + charts.size > 0 ? ['causes.'] : []),
  ];
  const everyRule = all.flatMap((pack) => pack.rules);
  for (const rule of everyRule) {
    const text = JSON.stringify(untested(rule));
    const followed = rule.kind === 'check' ? (measures.get(rule.trend?.of ?? '')?.limits ?? []) : [];
    if (names.some((name) => text.includes(name) || followed.includes(name))) rules.add(rule.id);
  }
  const folded = new Set(rules);
  // An instrument's checks decide whether its readings are facts at all.
  const checksOfInstruments = everyRule.filter((rule) => rule.kind === 'check' && rule.about === 'instrument');
  if (checksOfInstruments.some(({ id }) => rules.has(id))) for (const { id } of everyRule) folded.add(id);
  for (const { id } of checksOfInstruments) folded.add(id);
  // A finding is no new card where its cause has one.
  const causes = new Set(everyRule.filter(({ id }) => rules.has(id)).flatMap(({ cause }) => cause ?? []));
  for (const { id, cause } of everyRule) if (cause !== undefined && causes.has(cause)) folded.add(id);
  if (edges(ours, until) !== edges(theirs, until)) for (const { id } of everyRule) folded.add(id);
  return { rules, folded, whole: everyRule.every(({ id }) => folded.has(id)), packs };
}

/** Facts that technique charts give. */
const byTechnique = ['exposure.ratio', 'exposure.time', 'exposure.expectedTime'];

/** A book of these rules alone, with every limit, every chart and every change of editions where it was. */
export function sliceOf(editions: readonly Edition[], rules: ReadonlySet<string>): PackBook {
  return new PackBook(
    editions.map(({ pack, from, to }) => ({
      pack: { ...pack, rules: pack.rules.filter(({ id }) => rules.has(id)) },
      from,
      to,
    })),
  );
}

/** Takes out of a folded state what rules outside the slice have left in it. */
export function prune(state: SiteState, rules: ReadonlySet<string>): void {
  const keep = <T>(record: Record<string, T>, ruleOf: (value: T, key: string) => string) => {
    for (const [key, value] of Object.entries(record)) if (!rules.has(ruleOf(value, key))) delete record[key];
  };
  const named = (_: unknown, key: string) => key.split('|', 1)[0] ?? '';
  const own = ({ rule }: { readonly rule: string }) => rule;
  keep(state.findings, own);
  keep(state.duties, own);
  keep(state.unevaluable, own);
  keep(state.spells, named);
  keep(state.uneased, named);
  state.closed = state.closed.filter(({ rule }) => rules.has(rule));
  for (const { used } of Object.values(state.instruments)) if (used !== undefined) keep(used, own);
}

/** A limit that leans on a chart or on another limit that differs comes out otherwise too. */
function spread(packs: readonly Pack[], charts: ReadonlySet<string>, limits: Set<string>): void {
  for (let before = -1; before !== limits.size;) {
    before = limits.size;
    for (const limit of packs.flatMap((pack) => pack.limits)) {
      const text = JSON.stringify({ ...limit, id: '' });
      if ([...charts, ...limits].some((name) => text.includes(JSON.stringify(name)))) limits.add(limit.id);
    }
  }
}

/** The names of which the two sides do not say the same at all times. */
function differing(
  before: readonly Edition[],
  after: readonly Edition[],
  texts: (pack: Pack) => readonly (readonly [name: string, text: string])[],
): Set<string> {
  const [ours, theirs] = [calendar(before, texts), calendar(after, texts)];
  return new Set([...ours.keys(), ...theirs.keys()].filter((name) => ours.get(name) !== theirs.get(name)));
}

/** By name: what is said, and from when to when. */
function calendar(
  editions: readonly Edition[],
  texts: (pack: Pack) => readonly (readonly [name: string, text: string])[],
): Map<string, string> {
  const byName = new Map<string, Map<string, [number, number][]>>();
  for (const { pack, from, to } of [...editions].sort((a, b) => a.from - b.from)) {
    if (from >= to) continue;
    for (const [name, text] of texts(pack)) {
      const own = byName.get(name) ?? new Map<string, [number, number][]>();
      byName.set(name, own);
      const spans = own.get(text) ?? [];
      own.set(text, spans);
      const last = spans.at(-1);
      // The same in the next edition goes on.
      if (last !== undefined && last[1] >= from) last[1] = Math.max(last[1], to);
      else spans.push([from, to]);
    }
  }
  return new Map(
    [...byName].map(([name, own]) => [
      name,
      [...own]
        .map(([text, spans]) => `${spans.join(' ')} ${text}`)
        .sort()
        .join('\n'),
    ]),
  );
}

const farthestZone = 14 * 3_600_000;

/** Where packs begin and end, up to an instant; dates are local, and the farthest zone decides. */
function edges(editions: readonly Edition[], until: number): string {
  const all = editions.flatMap(({ pack, from, to }) => [
    ...[from, to].filter((at) => Number.isFinite(at) && at <= until).map((at) => `${pack.jurisdiction} ${at}`),
    ...[pack.from, pack.to].flatMap((date, index) =>
      date === undefined || Date.parse(date) - farthestZone > until ? [] : [`${pack.jurisdiction} ${date} ${index}`],
    ),
  ]);
  return [...new Set(all)].sort().join('\n');
}

/** What is said, with what of its pack decides where, when and on whose word it holds. */
function inPack({ layer, jurisdiction, from, to }: Pack, said: object): string {
  return canonicalJson(JSON.parse(JSON.stringify({ layer, jurisdiction, from, to, said })));
}

function textOf(pack: Pack): string {
  return inPack(pack, { ...pack, version: '', rules: pack.rules.map(untested) });
}

function untested(rule: Rule): Rule {
  return { ...rule, tests: [] };
}
