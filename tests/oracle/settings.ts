import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import type { Finding } from '../../src/engine/finding.js';
import type { SentEvent } from '../../src/cli/demo/teller.js';

/** A thorough run: STEPWEDGE_LONG=1; a run to repeat: STEPWEDGE_SEED=the printed seed. */
export const long = process.env['STEPWEDGE_LONG'] === '1';
export const seed = Number(process.env['STEPWEDGE_SEED'] ?? Math.floor(Math.random() * 2 ** 31));

/** How long one property may take, ms. */
export const patience = long ? 900_000 : 120_000;

/** How often a property is tried, and from which seed. */
export function tries(cases: number): { numRuns: number; seed: number; verbose: 0 } {
  return { numRuns: long ? cases * 10 : cases, seed, verbose: 0 };
}

export function decoded(event: SentEvent): AnyEvent {
  const answer = decode(event, { now: Date.parse('2030-01-01T00:00:00Z'), hashPatient: (patient) => patient });
  if (!answer.ok) throw new Error(`${event.type} ${event.id} is not an event: ${JSON.stringify(answer.faults)}`);
  return answer.event as AnyEvent;
}

/** Findings as plain data in order of their ids, for comparison; an absent field and an undefined one are the same. */
export function plain(findings: Iterable<Finding>): unknown[] {
  return [...findings]
    .sort((a, b) => (a.id < b.id ? -1 : 1))
    .map((finding): unknown => JSON.parse(JSON.stringify(finding)));
}
