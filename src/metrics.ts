import { collectDefaultMetrics, Counter, Gauge, Histogram, Registry } from 'prom-client';
import type { Ledger, LedgerCounters } from './ledger/context.js';

export interface Metrics {
  readonly registry: Registry;
  readonly observe: (operation: string, status: number, seconds: number) => void;
}

const ledgerHelp: Readonly<Record<keyof LedgerCounters, string>> = {
  accepted: 'Events accepted',
  duplicates: 'Events that had come before',
  rejected: 'Events refused',
  commits: 'Transactions that took events in',
  retries: 'Transactions tried again after a conflict',
  splits: 'Batches taken apart after an error',
  replays: 'Folds of a site from a checkpoint or from its first event',
  replayedEvents: 'Events that these folds read',
  replaysMet: 'Folds that met the state of a checkpoint and stopped there',
  foldFailures: 'Sites that could not be judged',
  sweeps: 'Passes of the due-date sweeper',
};

export interface Level {
  readonly name: string;
  readonly help: string;
  readonly read: () => number;
}

/**
 * What /metrics shows. The running totals belong to the ledger; they are read when somebody asks.
 * @param levels besides those of the ledger.
 */
export function createMetrics(ledger: Ledger, process: boolean, levels: readonly Level[] = []): Metrics {
  const registry = new Registry();
  if (process) collectDefaultMetrics({ register: registry });
  const totals: [string, string, () => number][] = [
    ...(Object.keys(ledgerHelp) as (keyof LedgerCounters)[]).map((name): [string, string, () => number] => [
      `stepwedge_${name.replaceAll(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`)}_total`,
      ledgerHelp[name],
      () => ledger.counters[name],
    ]),
    ['stepwedge_traces_compared_total', 'Conditions seen by both evaluators', () => ledger.traces.counters.compared],
    [
      'stepwedge_traces_disagreed_total',
      'Conditions the two evaluators saw differently',
      () => ledger.traces.counters.disagreed,
    ],
  ];
  for (const [name, help, read] of totals) {
    new Counter({
      name,
      help,
      registers: [registry],
      collect() {
        this.reset();
        this.inc(read());
      },
    });
  }
  const all: readonly Level[] = [
    { name: 'stepwedge_cached_sites', help: 'Folded sites kept in memory', read: () => ledger.cache.size },
    { name: 'stepwedge_cached_bytes', help: 'Bytes that they take, about', read: () => ledger.cache.memory },
    ...levels,
  ];
  for (const { name, help, read } of all) {
    new Gauge({
      name,
      help,
      registers: [registry],
      collect() {
        this.set(read());
      },
    });
  }
  const requests = new Histogram({
    name: 'stepwedge_http_request_seconds',
    help: 'Time to answer',
    labelNames: ['operation', 'status'],
    buckets: [0.002, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10],
    registers: [registry],
  });
  return {
    registry,
    observe: (operation, status, seconds) => requests.observe({ operation, status: String(status) }, seconds),
  };
}
