import type { Check } from '../packs/model.js';
import type { Finding } from './finding.js';
import { saySo } from './findings.js';
import type { Moment } from './moment.js';
import { wordIn } from './refs.js';
import { caps, type InstrumentState, type SiteState } from './state.js';
import type { Touched } from './touched.js';
import { hasRoom } from './unevaluable.js';

/**
 * Instruments that are checked themselves (law L17b). When one fails, what it read since its last pass is in doubt: rules
 * that came out met on such a reading are not evaluable after all, findings that rest on one say so; nothing becomes a
 * breach.
 */

/**
 * Keep what a check made of an instrument's readings, until the instrument's next check decides whether they were good.
 * @param lasting under which the check would be kept as not evaluable.
 */
export function rely(moment: Moment, check: Check, lasting: string, finding: Finding | undefined): void {
  for (const [name, fact] of moment.relied) {
    const known = (moment.state.instruments[name] ??= {});
    const used = (known.used ??= {});
    const key = finding?.id ?? lasting;
    const before = used[key];
    if (before === undefined && Object.keys(used).length >= caps.used) {
      moment.state.dropped['used'] = (moment.state.dropped['used'] ?? 0) + 1;
      continue;
    }
    used[key] = {
      rule: check.id,
      fact,
      topic: lasting.slice(check.id.length + 1),
      line: moment.line?.id,
      since: before?.since ?? moment.at,
      count: (before?.count ?? 0) + 1,
      ...(finding === undefined ? {} : { finding: finding.id }),
    };
  }
}

/**
 * All checks of an instrument decide together: those of other kinds of instruments come out false and say nothing. It
 * failed when one fired; it passed when every one could be judged and none fired. What it reads in a bath may fail it, but
 * only its own check passes it.
 */
export function checked(moment: Moment, results: readonly (boolean | undefined)[], touched: Touched): void {
  const { state, at, event } = moment;
  const name = event && wordIn(event, 'instrument');
  if (name === undefined) return;
  const known = (state.instruments[name] ??= {});
  const failed = results.includes(true);
  if (failed) {
    // A second failure doubts no more than the first: what came before the last pass stays trusted.
    if (known.failedAt === undefined || (known.passedAt ?? -Infinity) > known.failedAt)
      known.trustedTo = known.passedAt;
    known.failedAt = at;
    doubt(state, name, known, at, touched);
  } else if (event?.type === 'instrument.checked' && !results.includes(undefined)) known.passedAt = at;
  if (failed || known.passedAt === at) delete known.used;
}

function doubt(state: SiteState, name: string, { used = {} }: InstrumentState, at: number, touched: Touched): void {
  for (const { rule, fact, topic, line, since, count, finding: id } of Object.values(used)) {
    if (id === undefined) {
      const key = `${rule}|${topic}`;
      const missing = [{ fact, why: 'doubtful' as const, instrument: name }];
      if (state.unevaluable[key] === undefined && hasRoom(state))
        state.unevaluable[key] = { rule, topic, line, since, latest: at, count, missing };
      continue;
    }
    const finding = state.findings[id] ?? state.closed.find((closed) => closed.id === id);
    if (finding === undefined || finding.doubt !== undefined) continue;
    finding.doubt = { instrument: name, at };
    saySo(finding, at, `${finding.message} In doubt: ${name}, which read the temperature, failed its check.`);
    touched.add(finding);
  }
}
