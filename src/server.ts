import http from 'node:http';
import type { AddressInfo } from 'node:net';
import { pino, type Logger } from 'pino';
import { createApp } from './api/app.js';
import { refuseConnection } from './api/errors.js';
import { Gate } from './api/gate.js';
import { checkConfig, type Config, readConfig } from './config.js';
import { openDatabase } from './db/open.js';
import type { Database } from './db/port.js';
import { GroupCauses } from './delivery/group-causes.js';
import { Sweeper } from './delivery/sweeper.js';
import { createLedger } from './ledger/context.js';
import { Intake } from './ledger/intake.js';
import { Keys } from './ledger/keys.js';
import { Organisations } from './ledger/organisations.js';
import { createMetrics } from './metrics.js';
import { PackBook } from './packs/book.js';
import { soundShelf } from './rules.js';
import { createServices, mainOrganisation } from './services.js';

export interface ServerOptions {
  /** What differs from an empty environment. */
  readonly config?: Partial<Config>;
  /** Server time, ms. */
  readonly now?: () => number;
  readonly logger?: Logger;
  /** A database to use instead of the one that the configuration names; its owner closes it. */
  readonly database?: Database;
  /** ms between passes of the sweeper; 0: none. */
  readonly sweepEvery?: number;
  /** Events between two checkpoints; for tests of short ledgers. */
  readonly spacing?: number;
  /** What differs from `defaultPatience`; for tests, which have none. */
  readonly patience?: Partial<Patience>;
  /** Figures of the process in /metrics. */
  readonly processMetrics?: boolean;
  /** Every answer is held against its declared schema; for tests. */
  readonly checkAnswers?: boolean;
}

export interface RunningServer {
  /** `http://127.0.0.1:8080`. */
  readonly url: string;
  /** The key made at the first start of a database, this once; or the one that was configured. */
  readonly adminKey?: string | undefined;
  /** Whether `adminKey` was made just now. */
  readonly keyIsNew: boolean;
  readonly database: Database;
  /** One pass of the sweeper, now. @returns how many sites it wrote to. */
  sweep(): Promise<number>;
  /** Stops accepting, finishes what runs, closes the database. May be called again. */
  close(): Promise<void>;
}

/** How long the server waits for its callers, ms. */
export interface Patience {
  /** For the headers of a request. */
  readonly headers: number;
  /** For the whole request. */
  readonly request: number;
  /** For the next byte of a body. */
  readonly silence: number;
  /** Until an answer has been taken. */
  readonly answer: number;
  /** For another request on the same connection; longer than proxies keep theirs. */
  readonly keepAlive: number;
  /** For requests to finish once it is stopping. */
  readonly stopping: number;
}

export const defaultPatience: Patience = {
  headers: 20_000,
  request: 120_000,
  silence: 20_000,
  answer: 60_000,
  keepAlive: 75_000,
  stopping: 10_000,
};

/**
 * Database, packs, ledger, sweeper and HTTP in one process; everything is closed again if any of it fails.
 * @throws ConfigError, DatabaseStartError or RulesError, each a sentence; or the error of a port that is taken.
 */
export async function startServer(options: ServerOptions = {}): Promise<RunningServer> {
  const config = checkConfig({ ...readConfig({}), ...options.config });
  const logger = options.logger ?? pino({ level: config.logLevel }, pino.destination(2));
  const now = options.now ?? Date.now;
  const shelf = await soundShelf(config.rulesDir === undefined ? [] : [config.rulesDir]);
  const database = options.database ?? (await openDatabase(config));
  const closing: (() => Promise<void>)[] = options.database === undefined ? [() => database.close()] : [];
  const closeAll = async (): Promise<void> => {
    for (let next = closing.pop(); next !== undefined; next = closing.pop()) await next();
  };
  try {
    const organisations = new Organisations(database, now);
    const keys = new Keys(database, now);
    await organisations.create(mainOrganisation, 'Main');
    const ledger = createLedger({
      database,
      book: new PackBook(shelf.packs),
      now,
      log: logger,
      spacing: options.spacing,
      stateMemory: config.stateMemory,
    });
    const intake = new Intake(ledger, { all: config.waitingEvents, ofOne: config.waitingShare });
    closing.push(() => intake.background.stop());
    const gate = new Gate(config.requestsAtOnce);
    const metrics = createMetrics(ledger, options.processMetrics ?? false, [
      { name: 'stepwedge_waiting_events', help: 'Events not yet answered', read: () => intake.waiting.events },
      { name: 'stepwedge_requests_in_progress', help: 'Requests in progress', read: () => gate.inside },
    ]);
    const { adminKey } = config;
    const services = createServices({
      database,
      ledger,
      intake,
      organisations,
      keys,
      shelf,
      metrics,
      logger,
      adminKey,
      trials: config.trials,
    });
    const sweeper = new Sweeper(ledger, {
      every: options.sweepEvery === 0 ? undefined : options.sweepEvery,
      nightly: [new GroupCauses(ledger)],
    });
    closing.push(() => sweeper.stop());
    const patience = { ...defaultPatience, ...options.patience };
    const app = createApp(services, { ...config, patience, gate, checkAnswers: options.checkAnswers });
    const server = http.createServer(
      {
        headersTimeout: patience.headers,
        requestTimeout: patience.request,
        keepAliveTimeout: patience.keepAlive,
        // How often the two above are looked at.
        connectionsCheckingInterval: Math.min(5000, patience.headers / 2),
      },
      app,
    );
    server.maxConnections = config.connections;
    server.on('clientError', refuseConnection);
    await listen(server, config);
    closing.push(() => stopListening(server, gate, patience.stopping));
    // Only now: a key made before a start that fails would be shown to nobody and never be made again.
    const made = config.adminKey === undefined ? await firstKey(keys) : undefined;
    if (options.sweepEvery !== 0) sweeper.start();
    const { port } = server.address() as AddressInfo;
    return {
      url: `http://${config.host.includes(':') ? `[${config.host}]` : config.host}:${port}`,
      adminKey: made ?? config.adminKey,
      keyIsNew: made !== undefined,
      database,
      sweep: () => sweeper.sweep(),
      close: closeAll,
    };
  } catch (error) {
    await closeAll();
    throw error;
  }
}

/** The key of a database that has none in force yet. */
async function firstKey(keys: Keys): Promise<string | undefined> {
  const present = await keys.list(mainOrganisation);
  if (present.some(({ revokedAt }) => revokedAt === null)) return undefined;
  const grant = { name: 'first key', scopes: ['admin'], sites: null, sources: null };
  return (await keys.create(mainOrganisation, 'system', grant)).secret;
}

function listen(server: http.Server, { host, port }: Config): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      resolve();
    });
  });
}

/** Lets running requests finish; connections that only wait for another request are closed. */
function stopListening(server: http.Server, gate: Gate, patience: number): Promise<void> {
  gate.stop();
  return new Promise((resolve) => {
    const idle = setInterval(() => server.closeIdleConnections(), 50);
    const enough = setTimeout(() => server.closeAllConnections(), patience);
    server.close(() => {
      clearInterval(idle);
      clearTimeout(enough);
      resolve();
    });
    server.closeIdleConnections();
  });
}
