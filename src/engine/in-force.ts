import type { SiteConfig } from '../events/site.js';
import type { RuleSet } from '../packs/book.js';
import { selects } from '../packs/selector.js';
import { refreshDuties } from './duties/refresh.js';
import type { Finding } from './finding.js';
import { closeFinding, highestBroken, isHigher } from './findings.js';
import { sceneOf } from './moment.js';
import type { SiteState } from './state.js';
import type { Touched } from './touched.js';

/** Duties and findings follow the rules and lines in force; what is said by a rule no longer in force lapses. */
export function putInForce(state: SiteState, site: SiteConfig, rules: RuleSet, at: number, touched: Touched): void {
  for (const finding of Object.values(state.findings)) {
    const reason = endOf(state, finding, rules);
    if (reason !== undefined) lapse(state, finding, at, reason, touched);
    else if (finding.kind === 'check') keepInForce(state, finding, rules, at, touched);
  }
  for (const [key, { rule, line }] of Object.entries(state.unevaluable))
    if (!rules.rules.has(rule) || state.lines[line ?? '']?.config.ended === true) delete state.unevaluable[key];
  refreshDuties({ at, state, site, rules }, touched);
}

/** Why a finding is over, if it is. A hold outlasts its line: should that come back, it waits for a passed re-test (L17a). */
function endOf(state: SiteState, finding: Finding, rules: RuleSet): string | undefined {
  const rule = rules.rules.get(finding.rule);
  if (rule === undefined) return 'the rule is no longer in force';
  const line = finding.line === undefined ? undefined : state.lines[finding.line];
  const tube = finding.tube === undefined ? undefined : state.tubes[finding.tube];
  if (finding.hold === undefined && line?.config.ended === true) return 'the line has ended';
  if (finding.hold === undefined && tube?.config.ended === true) return 'the unit has ended';
  const lasts = state.spells[`${finding.rule}|${finding.topic}`] === finding.id;
  const baths = [undefined, ...Object.keys(line?.baths ?? {})];
  if (lasts && line !== undefined && !baths.some((bath) => selects(rule.for, sceneOf(line, bath))))
    return 'the rule is not for a line like this';
  return undefined;
}

/**
 * A condition that lasts keeps the rungs whose limits are in force here. Its severity comes down with the one that
 * carried it; when none that it broke is left, it lapses, unless its rule stands on its own word. Of films and events it
 * was judged by the law of their day, which no later move changes.
 */
function keepInForce(state: SiteState, finding: Finding, rules: RuleSet, at: number, touched: Touched): void {
  if (state.spells[`${finding.rule}|${finding.topic}`] !== finding.id) return;
  const kept = finding.chain.filter(({ limit, pack }) => rules.limits.get(limit)?.some((one) => one.pack.id === pack));
  if (kept.length === finding.chain.length) return;
  const gone = finding.chain.filter((rung) => !kept.includes(rung));
  const broken = highestBroken(kept);
  const rule = rules.rules.get(finding.rule);
  const severity = broken?.severity ?? rule?.severity;
  if (severity === undefined)
    return lapse(state, finding, at, 'the limit it broke is no longer in force here', touched);
  finding.chain = kept;
  if (gone.some((rung) => !isHigher(finding.severity, rung.severity))) {
    finding.severity = severity;
    finding.citation = broken?.citation ?? rule?.citation ?? finding.citation;
  }
  touched.add(finding);
}

function lapse(state: SiteState, finding: Finding, at: number, reason: string, touched: Touched): void {
  closeFinding(state, finding, 'lapsed', at, { reason });
  touched.add(finding);
}
