import { fileURLToPath } from 'node:url';
import { board, type Board } from '../../src/engine/board.js';
import type { DueItem } from '../../src/engine/due.js';
import type { Finding } from '../../src/engine/finding.js';
import type { SiteState } from '../../src/engine/state.js';
import type { AnyEvent } from '../../src/events/event.js';
import { decode } from '../../src/events/decode.js';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { severities } from '../../src/packs/model.js';
import { foldSite } from '../../src/trials/fold-site.js';
import type { Office } from '../../src/cli/demo/offices.js';
import { localTime, Teller, type SentEvent } from '../../src/cli/demo/teller.js';

/** Everything in rules/, read once. */
export const shipped = await readRules();

async function readRules(): Promise<PackBook> {
  const { packs, diagnostics } = await loadPacks(fileURLToPath(new URL('../../rules', import.meta.url)));
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  if (errors.length > 0) throw new Error(`rules/ has faults: ${JSON.stringify(errors.slice(0, 3))}`);
  return new PackBook(packs);
}

/** What a site looks like as of an instant. */
export interface Seen {
  readonly state: SiteState;
  readonly findings: readonly Finding[];
  /** Those that are more than advice. */
  readonly strong: readonly Finding[];
  readonly board: Board;
  /** What is on the due list by then. */
  readonly due: readonly DueItem[];
}

/** A told week at an office, ready to be looked at as of any local time. */
export class Stage {
  readonly sent: readonly SentEvent[];
  readonly events: readonly AnyEvent[];

  /** @param configured local time at which the office is set up, no later than its first event. */
  constructor(
    readonly office: Office,
    configured: string,
    events: readonly SentEvent[],
    readonly book: PackBook = shipped,
  ) {
    const first = new Teller(office, 'stage');
    first.configured(configured);
    this.sent = [...first.events, ...events];
    this.events = this.sent.map(decoded);
  }

  instant(local: string): number {
    return localTime(this.office, local).toMillis();
  }

  /** The one event of that type at that local time, or the nth of several. */
  event(type: string, local: string, nth = 0): SentEvent {
    const at = this.instant(local);
    const found = this.sent.filter((event) => event.type === type && Date.parse(event.time) === at)[nth];
    if (found === undefined) throw new Error(`no ${type} at ${local} in the story`);
    return found;
  }

  /** All that happened up to and including that local time, advanced to it. */
  asOf(local: string): Seen {
    const at = this.instant(local);
    const { state, findings } = foldSite(
      this.events.filter((event) => event.at <= at),
      this.book,
      at,
    );
    const all = [...findings.values()].sort((a, b) => a.openedAt - b.openedAt);
    const door = board(state, at, this.book);
    return {
      state,
      findings: all,
      strong: all.filter((finding) => severities.indexOf(finding.severity) > 0),
      board: door,
      due: door.due,
    };
  }
}

export function decoded(event: SentEvent): AnyEvent {
  const answer = decode(event, {
    now: Date.parse('2030-01-01T00:00:00Z'),
    hashPatient: (patient) => `hashed-${patient}`,
  });
  if (!answer.ok) throw new Error(`${event.type} ${event.id} is not an event: ${JSON.stringify(answer.faults)}`);
  return answer.event as AnyEvent;
}

/** Findings anchored on an event of the story. */
export function on(seen: Seen, event: SentEvent): Finding[] {
  return seen.findings.filter((finding) => finding.anchor?.source === event.source && finding.anchor.id === event.id);
}

/** One line a finding, for messages of failed comparisons: severity, opening instant in UTC, what it says. */
export function brief(findings: readonly Finding[]): string[] {
  return findings.map(
    ({ severity, openedAt, state, rule, message }) =>
      `${severity} ${new Date(openedAt).toISOString()} ${state} ${rule}: ${message}`,
  );
}

/** The only element, or a failure that shows what was there instead. */
export function only(findings: readonly Finding[]): Finding {
  const [first, ...others] = findings;
  if (first === undefined || others.length > 0) {
    throw new Error(`expected one finding, saw ${findings.length}:\n${brief(findings).join('\n')}`);
  }
  return first;
}

/** The strong findings without those expected: what must not appear. */
export function others(seen: Seen, expected: readonly Finding[]): string[] {
  return brief(seen.strong.filter((finding) => !expected.some(({ id }) => id === finding.id)));
}

/** All that a reader could see of a finding. */
export function wording(finding: Finding): string {
  return [
    finding.title,
    finding.message,
    finding.advise,
    finding.retest,
    finding.caution,
    ...finding.said.map((one) => one.message),
  ]
    .filter((text) => text !== undefined)
    .join(' | ');
}
