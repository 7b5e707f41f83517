import { setTimeout as wait } from 'node:timers/promises';
import { Background } from './background.js';
import { type BatchOutcome, commitBatch } from './batch.js';
import { createLedger, type Ledger, type LedgerParts } from './context.js';
import { isAboutTheDatabase, isAboutTheRows, mayComeBack, mayRetry } from './failures.js';
import { GroupCommit } from './group-commit.js';
import { keepRefusals, type Refusal } from './rejected.js';
import type { Accepted, EventResult, Incoming } from './results.js';
import { Waiting, type WaitingCaps } from './waiting.js';

/** Events a commit that gathers several callers. */
const mostEvents = 1000;
/** Tries of one transaction that keeps meeting others. */
const mostTries = 6;
/** How long after its beginning a transaction is tried again when the connection is lost, ms: senders are waiting. */
const longestLoss = 3_000;

/** What became of part of a commit: the outcome, or why it was not committed. */
interface Part {
  readonly batch: readonly Incoming[];
  readonly outcome: BatchOutcome | Error;
}

/**
 * Takes events in. What concurrent callers bring for one organisation goes into one transaction; accepted means
 * committed, and that the findings are those of the fold over the whole ledger.
 */
export class Intake {
  readonly ledger: Ledger;
  readonly background: Background;
  readonly waiting: Waiting;
  readonly #queues = new Map<string, GroupCommit<Incoming, Accepted>>();

  constructor(parts: Ledger | LedgerParts, caps?: WaitingCaps) {
    this.ledger = 'counters' in parts ? parts : createLedger(parts);
    this.background = new Background(this.ledger);
    this.waiting = new Waiting(caps);
  }

  /**
   * @returns a result for each event, in their order.
   * @throws OverloadError when too many wait already; or when none of the events could be stored: the database is out
   * of reach, or a fault of ours.
   */
  async accept(organisation: string, incoming: readonly Incoming[]): Promise<Accepted> {
    if (incoming.length === 0) return { results: [], findings: { opened: [], cleared: [], withdrawn: [] } };
    const leave = this.waiting.enter(organisation, incoming.length);
    let queue = this.#queues.get(organisation);
    if (queue === undefined) {
      queue = new GroupCommit((groups) => this.#commit(organisation, groups), mostEvents);
      this.#queues.set(organisation, queue);
    }
    // Copies: a caller may bring the same object twice, and each place gets its own result.
    try {
      return await queue.add(incoming.map((one) => ({ ...one })));
    } finally {
      leave();
      if (queue.idle) this.#queues.delete(organisation);
    }
  }

  /** Keep what was refused before it came here, for `rejectedDays`. */
  async recordRejected(organisation: string, refusals: readonly Refusal[]): Promise<void> {
    if (refusals.length === 0) return;
    this.ledger.counters.rejected += refusals.length;
    await this.ledger.database.withOrganisation(organisation, (tx) =>
      keepRefusals(tx, organisation, refusals, this.ledger.now()),
    );
  }

  async #commit(organisation: string, groups: readonly (readonly Incoming[])[]): Promise<(Accepted | Error)[]> {
    const parts = await this.#attempt(organisation, groups.flat());
    const results = new Map<Incoming, EventResult | Error>();
    for (const { batch, outcome } of parts) {
      batch.forEach((incoming, index) => {
        const result = outcome instanceof Error ? outcome : outcome.results[index];
        if (result !== undefined) results.set(incoming, result);
      });
      if (outcome instanceof Error) continue;
      for (const site of outcome.waiting) this.background.request(organisation, site);
    }
    const changes = parts.flatMap(({ outcome }) => (outcome instanceof Error ? [] : outcome.changes));
    return groups.map((group) => answer(group, results, changes));
  }

  /** One transaction if that works; after an error each site alone, and a refused site by halves. */
  async #attempt(organisation: string, batch: readonly Incoming[]): Promise<Part[]> {
    const { counters, log } = this.ledger;
    const began = performance.now();
    let failure: unknown;
    for (let attempt = 1; attempt <= mostTries; attempt++) {
      try {
        const outcome = await commitBatch(this.ledger, organisation, batch);
        counters.commits += 1;
        for (const { status } of outcome.results) {
          counters[status === 'duplicate' ? 'duplicates' : status] += 1;
        }
        return [{ batch, outcome }];
      } catch (error) {
        failure = error;
        const lost = mayComeBack(error);
        if (!mayRetry(error) && !(lost && performance.now() - began < longestLoss)) break;
        counters.retries += 1;
        // Jitter, so that two that met do not meet again.
        await wait(attempt * (lost ? 50 + Math.random() * 100 : 5 + Math.random() * 25));
      }
    }
    if (!isAboutTheDatabase(failure)) {
      const smaller = takeApart(batch, isAboutTheRows(failure));
      if (smaller.length > 1) {
        counters.splits += 1;
        log.warn({ organisation, err: failure, parts: smaller.length }, 'A batch failed and is taken apart.');
        const parts: Part[] = [];
        for (const part of smaller) parts.push(...(await this.#attempt(organisation, part)));
        return parts;
      }
    }
    log.error({ organisation, events: batch.length, err: failure }, 'Events could not be stored.');
    if (isAboutTheRows(failure)) return [{ batch, outcome: refusedRows(batch) }];
    return [{ batch, outcome: failure instanceof Error ? failure : new Error(String(failure)) }];
  }
}

function takeApart(batch: readonly Incoming[], byHalves: boolean): (readonly Incoming[])[] {
  const bySite = new Map<string, Incoming[]>();
  for (const incoming of batch) {
    const ofSite = bySite.get(incoming.event.site);
    if (ofSite === undefined) bySite.set(incoming.event.site, [incoming]);
    else ofSite.push(incoming);
  }
  if (bySite.size > 1) return [...bySite.values()];
  if (!byHalves || batch.length < 2) return [batch];
  const middle = Math.ceil(batch.length / 2);
  return [batch.slice(0, middle), batch.slice(middle)];
}

function refusedRows(batch: readonly Incoming[]): BatchOutcome {
  const faults = [
    { pointer: '', code: 'not-storable', message: 'The database refused this event; it was not stored.' },
  ];
  const results = batch.map(({ event: { source, id } }): EventResult => {
    return { source, id, status: 'rejected', findings: [], faults };
  });
  return { results, changes: [], waiting: [] };
}

function answer(
  group: readonly Incoming[],
  results: ReadonlyMap<Incoming, EventResult | Error>,
  changes: BatchOutcome['changes'],
): Accepted | Error {
  const own = group.map((incoming) => results.get(incoming) ?? new Error('The event has no result.'));
  const failed = own.find((result) => result instanceof Error);
  if (failed instanceof Error && own.every((result) => result instanceof Error)) return failed;
  const sites = new Set(group.map(({ event }) => event.site));
  const findings: Accepted['findings'] = { opened: [], cleared: [], withdrawn: [] };
  for (const { site, kind, finding } of changes) {
    if (!sites.has(site)) continue;
    const closed = finding.state === 'cleared' || finding.state === 'resolved' || finding.state === 'lapsed';
    if (kind === 'withdrawn') findings.withdrawn.push(finding.id);
    if (kind === 'opened' || kind === 'reinstated') findings.opened.push(finding.id);
    if (closed && (kind === 'closed' || kind === 'opened')) findings.cleared.push(finding.id);
  }
  return {
    results: own.map((result, index) => (result instanceof Error ? notStored(group[index]) : result)),
    findings,
  };
}

/** Others of the same call were committed, so the call cannot fail as a whole. */
function notStored(incoming: Incoming | undefined): EventResult {
  const { source = '', id = '' } = incoming?.event ?? {};
  const message =
    'This event could not be stored just now, and was not. Send it again; those that were accepted do no harm.';
  return { source, id, status: 'rejected', findings: [], faults: [{ pointer: '', code: 'not-stored', message }] };
}
