import type { Said } from '../../packs/book.js';
import type { Duty } from '../../packs/model.js';
import { dueAfter } from '../calendar.js';
import type { Finding } from '../finding.js';
import { closeFinding, highestBroken, isHigher } from '../findings.js';
import type { DutyState } from '../state.js';
import type { Touched } from '../touched.js';
import { dutyMoment, ensureDuties } from './instances.js';
import { lookAgain } from './postpone.js';
import { chainAt, dueRungs } from './rungs.js';
import { nextAfter, schedule, type Base } from './schedule.js';
import { restate } from './speak.js';

/**
 * Bring the duties in line with the rules, the zone and the configuration in force: new ones begin, ended ones go, and
 * what the others owe is reckoned anew, for another jurisdiction has other periods and another zone other midnights.
 */
export function refreshDuties(base: Base, touched: Touched): void {
  const { state, rules } = base;
  beginDuties(base, touched);
  for (const duty of rules.duties) {
    const instances = Object.values(state.duties).filter(({ rule }) => rule === duty.id);
    for (const instance of instances) reckon(base, duty, instance);
    const ids = new Set(instances.flatMap(({ finding }) => finding ?? []));
    for (const id of ids) {
      const finding = state.findings[id];
      if (finding !== undefined) rejudge(base, duty, finding, instances, touched);
    }
  }
}

/** New duties begin and ended ones go, with what they had found; those that stay are left as they are. */
export function beginDuties(base: Base, touched: Touched): void {
  const { state, rules, at } = base;
  ensureDuties(state, rules, at, (duty, instance) => {
    const fill = instance.bath === undefined ? null : state.lines[instance.line ?? '']?.baths[instance.bath]?.fill;
    if (fill && duty.must.some(({ event }) => event === 'chemistry.changed')) instance.done = fill.ref;
    schedule(base, duty, instance);
  });
  const fed = new Set(Object.values(state.duties).map(({ finding }) => finding));
  for (const finding of Object.values(state.findings)) {
    if (finding.kind !== 'duty' || fed.has(finding.id)) continue;
    closeFinding(state, finding, 'lapsed', at, { reason: 'nothing here owes it any more' });
    touched.add(finding);
  }
}

/** Due instants by the rules now in force. What was found overdue already is not found again, only what comes next. */
function reckon(base: Base, duty: Said<Duty>, instance: DutyState): void {
  const { at, site } = base;
  const { cadence } = duty;
  if (cadence.kind === 'after') {
    const open: number[] = [];
    for (const entry of instance.pending) {
      const isFound = entry.due !== null && entry.due < at;
      entry.due = cadence.within === undefined ? null : dueAfter(entry.ref.at, cadence.within, site.zone);
      if (entry.due !== null && !isFound) open.push(Math.max(entry.due, at));
    }
    if (instance.owed !== undefined) open.push(lookAgain(base, duty, instance) ?? Infinity);
    const next = Math.min(...open);
    instance.look = next === Infinity ? null : next;
  }
  if (cadence.kind !== 'every') return;
  const dues = dueRungs(dutyMoment(base, instance, undefined), duty, instance).map(({ due }) => due);
  if (instance.finding !== undefined) instance.look = nextAfter(at, dues);
  else if (instance.owed === undefined || !dues.some((due) => due <= at)) {
    delete instance.owed;
    delete instance.afterClosure;
    schedule(base, duty, instance);
  } else instance.look = lookAgain(base, duty, instance);
}

/**
 * An open finding of an `every` duty under rules that may have changed: it keeps the rungs in force, its severity is that
 * of the highest they still break, and what they no longer ask for lapses. A number of films is no due instant and stands.
 */
function rejudge(base: Base, duty: Said<Duty>, finding: Finding, instances: DutyState[], touched: Touched): void {
  const { cadence } = duty;
  if (cadence.kind !== 'every') return;
  const feeders = instances.filter((instance) => instance.finding === finding.id);
  const judged = feeders.map((instance) => {
    const moment = dutyMoment(base, instance, undefined);
    const rungs = dueRungs(moment, duty, instance);
    const byFilms = cadence.films !== undefined && instance.films > cadence.films;
    return {
      instance,
      moment,
      chain: chainAt(rungs, base.at),
      owes: byFilms || rungs.some(({ due }) => due <= base.at),
    };
  });
  const still = judged.filter(({ owes }) => owes);
  for (const { instance, owes } of judged) {
    if (owes) continue;
    delete instance.finding;
    schedule(base, duty, instance);
  }
  const [first] = still;
  if (first === undefined) {
    closeFinding(base.state, finding, 'lapsed', base.at, { reason: 'by the rules now in force it is not due' });
    touched.add(finding);
    return;
  }
  const gravest = still.reduce((top, one) => {
    const [a, b] = [highestBroken(one.chain), highestBroken(top.chain)];
    return a !== undefined && (b === undefined || isHigher(a.severity, b.severity)) ? one : top;
  }, first);
  const owing = still.map(({ instance }) => instance);
  if (restate(finding, duty, { ...gravest, owing })) touched.add(finding);
}
