import type { AnyEvent, LedgerEvent } from '../events/event.js';
import type { RuleSet } from '../packs/book.js';
import { filmKnown } from './apply/films.js';
import { dueAfter } from './calendar.js';
import { sayOf } from './checks.js';
import { withCauses } from './consult/causes.js';
import type { Finding } from './finding.js';
import { addEvidence, sayAnew } from './findings.js';
import { momentOf } from './moment.js';
import { refOf, wordIn } from './refs.js';
import type { SiteState } from './state.js';
import type { Touched } from './touched.js';

/** What makes the record of a film grow after it was looked at. */
const evidence: ReadonlySet<string> = new Set([
  'day.opened',
  'bath.measured',
  'stepwedge.read',
  'testfilm.read',
  'fixer.cleared',
  'darkroom.checked',
]);

/** Findings of films that evidence came for are worded anew, in place; made again, their films are counted. */
export function tellAgain(state: SiteState, rules: RuleSet, event: AnyEvent, touched: Touched): void {
  if (event.type === 'film.exposed') countRepeat(state, event, touched);
  if (!evidence.has(event.type)) return;
  for (const finding of Object.values(state.findings)) {
    const rule = rules.rules.get(finding.rule);
    const again = rule?.kind === 'check' ? rule.again : undefined;
    if (finding.asked === undefined || again === undefined || !isOfItsLine(finding, event)) continue;
    if (state.site === null || event.at > dueAfter(finding.openedAt, again, state.site.zone)) continue;
    const review = reviewOf(state, finding.asked);
    const moment = momentOf(state, rules, review);
    const spoken = moment && sayOf(withCauses(moment), finding.rule);
    if (spoken === undefined || spoken.message === finding.message) continue;
    addEvidence(finding, refOf(event));
    sayAnew(finding, { ...spoken, moment: { ...spoken.moment, at: event.at } });
    touched.add(finding);
  }
}

function isOfItsLine({ line }: Finding, event: AnyEvent): boolean {
  const named = wordIn(event, 'line');
  return line === undefined || named === undefined || named === line;
}

function reviewOf(state: SiteState, asked: NonNullable<Finding['asked']>): LedgerEvent<'film.reviewed'> {
  const { source, id, at, ...data } = asked;
  return { type: 'film.reviewed', source, id, at, rank: 0, site: state.id, data };
}

function countRepeat(state: SiteState, { data }: LedgerEvent<'film.exposed'>, touched: Touched): void {
  for (const id of Object.values(filmKnown(state, data.retakeOf ?? '')?.shown ?? {})) {
    const finding = state.findings[id];
    if (finding === undefined) continue;
    finding.repeats = (finding.repeats ?? 0) + 1;
    touched.add(finding);
  }
}
