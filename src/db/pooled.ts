import { AsyncLocalStorage } from 'node:async_hooks';
import { setTimeout as wait } from 'node:timers/promises';
import type pg from 'pg';
import { Connection } from './connection.js';
import { ConnectionLostError, DatabaseUnavailableError, isConflict, isConnectionLoss, sqlState } from './errors.js';
import type { Database, Transaction, TransactionOptions } from './port.js';

const tries = 3;
const pingTimeout = 5_000;

export interface PooledDatabaseParts {
  readonly kind: Database['kind'];
  readonly durability: string;
  readonly pool: pg.Pool;
  /** @throws StorageFullError */
  readonly checkRoom?: () => Promise<void>;
  /** After the pool has ended. */
  readonly onClose?: () => Promise<void>;
}

/**
 * The port over a pool of connections that speak PostgreSQL's protocol: to a server, or to the embedded database, whose
 * pool has one. The connections are already switched to the application role.
 */
export class PooledDatabase implements Database {
  readonly kind: Database['kind'];
  readonly durability: string;
  private readonly connections = new WeakMap<pg.ClientBase, Connection>();
  private readonly inside = new AsyncLocalStorage<{ open: boolean }>();
  private readonly running = new Set<Promise<unknown>>();
  private closing: Promise<void> | undefined;

  constructor(private readonly parts: PooledDatabaseParts) {
    this.kind = parts.kind;
    this.durability = parts.durability;
    // An idle connection that breaks is replaced at the next use, which also reports the reason.
    parts.pool.on('error', () => undefined);
  }

  async withOrganisation<T>(
    organisation: string,
    work: (tx: Transaction) => Promise<T>,
    options: TransactionOptions = {},
  ): Promise<T> {
    if (options.grows) await this.parts.checkRoom?.();
    for (let attempt = 1; ; attempt++) {
      try {
        return await this.once('stepwedge.organisation', organisation, work, options.snapshot);
      } catch (error) {
        if (!options.retry || attempt >= tries || this.closing || !(isConflict(error) || mayPass(error))) throw error;
        // Jitter, so that two that collided do not collide again.
        await wait(attempt * (20 + Math.random() * 60));
      }
    }
  }

  organisations(): Promise<string[]> {
    return this.once('stepwedge.system', 'on', async (tx) => {
      const rows = await tx.query<{ organisation: string }>(
        'SELECT organisation FROM organisation ORDER BY organisation',
      );
      return rows.map((row) => row.organisation);
    });
  }

  async ping(): Promise<void> {
    const late = new AbortController();
    const timeout = wait(pingTimeout, undefined, { signal: late.signal, ref: false }).then(() => {
      throw new DatabaseUnavailableError(`The database did not answer within ${pingTimeout / 1000} s.`);
    });
    const answer = this.once('stepwedge.organisation', '', (tx) => tx.query('SELECT 1'));
    try {
      await Promise.race([answer, timeout]);
    } finally {
      late.abort();
      timeout.catch(() => undefined);
      answer.catch(() => undefined);
    }
  }

  close(): Promise<void> {
    this.closing ??= (async () => {
      // The pool alone would leave those waiting for a connection to their timeout.
      while (this.running.size > 0) await Promise.allSettled(this.running);
      await this.parts.pool.end();
      await this.parts.onClose?.();
    })();
    return this.closing;
  }

  private once<T>(
    setting: Setting,
    value: string,
    work: (tx: Transaction) => Promise<T>,
    snapshot?: boolean,
  ): Promise<T> {
    const run = this.run(setting, value, work, snapshot);
    this.running.add(run);
    const done = () => this.running.delete(run);
    run.then(done, done);
    return run;
  }

  private async run<T>(
    setting: Setting,
    value: string,
    work: (tx: Transaction) => Promise<T>,
    snapshot?: boolean,
  ): Promise<T> {
    if (this.inside.getStore()?.open) throw new Error('A transaction inside a transaction: pass `tx` on instead.');
    const client = await this.acquire();
    let connection = this.connections.get(client);
    if (!connection) this.connections.set(client, (connection = new Connection(client)));
    // A connection may break while nobody waits for an answer on it; without a listener that would end the process.
    const onError = () => undefined;
    client.on('error', onError);
    let broken: Error | undefined;
    try {
      await connection.begin(setting, value, snapshot);
      return await this.within(connection, work);
    } catch (error) {
      if (isConnectionLoss(error)) {
        broken = error as Error;
        throw new ConnectionLostError('The connection to the database was lost.', { cause: error });
      }
      if (!(await connection.rollback().then(succeed, fail)) || isStalePlan(error)) broken = error as Error;
      throw error;
    } finally {
      client.removeListener('error', onError);
      client.release(broken);
    }
  }

  private async within<T>(connection: Connection, work: (tx: Transaction) => Promise<T>): Promise<T> {
    const state = { open: true };
    const { tx, end } = connection.transaction();
    let result: T;
    try {
      result = await this.inside.run(state, () => work(tx));
    } finally {
      state.open = false;
      end();
    }
    await connection.commit();
    return result;
  }

  private async acquire(): Promise<pg.PoolClient> {
    if (this.closing) throw new DatabaseUnavailableError('The database has been closed.');
    try {
      return await this.parts.pool.connect();
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      const Kind = isConnectionLoss(error) ? ConnectionLostError : DatabaseUnavailableError;
      throw new Kind(`No connection to the database could be had: ${reason}`, { cause: error });
    }
  }
}

type Setting = Parameters<Connection['begin']>[0];

const succeed = () => true;
const fail = () => false;

function mayPass(error: unknown): boolean {
  return error instanceof DatabaseUnavailableError;
}

/** "cached plan must not change result type": a newer release has migrated a table that this connection prepared for. */
function isStalePlan(error: unknown): boolean {
  return sqlState(error) === '0A000' && error instanceof Error && error.message.includes('cached plan');
}
