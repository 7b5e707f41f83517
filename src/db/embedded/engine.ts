import { Worker } from 'node:worker_threads';
import { DatabaseUnavailableError } from '../errors.js';
import { WorkerStream } from './stream.js';

type Order = { kind: 'bytes'; bytes: Uint8Array } | { kind: 'dump' } | { kind: 'close' };
type Report =
  | { kind: 'ready' }
  | { kind: 'bytes'; bytes: Uint8Array }
  | { kind: 'dump'; bytes: Uint8Array }
  | { kind: 'closed' }
  | { kind: 'failed'; reason: string };

export interface EngineSetup {
  /** Folder of the database files, made when missing; none: in memory. */
  readonly dataDir?: string;
  /** What `dump` of another engine gave, to start from. */
  readonly snapshot?: Uint8Array;
}

/** PGlite in its worker thread. It has one session; `connect` gives the stream over which node-postgres speaks to it. */
export class Engine {
  private stream: WorkerStream | undefined;
  private waiting: { kind: Report['kind']; resolve: (report: Report) => void; reject: (error: Error) => void }[] = [];
  private broken: Error | undefined;

  private constructor(private readonly worker: Worker) {
    worker.on('message', (report: Report) => this.receive(report));
    worker.on('error', (error) => this.fail(`The embedded database has failed: ${error.message}`));
    worker.on('exit', () => this.fail('The embedded database has ended.'));
  }

  /** @throws Error with PGlite's reason when the files cannot be opened. */
  static async start(setup: EngineSetup): Promise<Engine> {
    const worker = new Worker(new URL('./worker.mjs', import.meta.url), { workerData: setup });
    const engine = new Engine(worker);
    try {
      await engine.expect('ready');
    } catch (error) {
      await worker.terminate();
      throw error;
    }
    return engine;
  }

  /** A new conversation with the one session; the one before is over. */
  connect(): WorkerStream {
    this.stream?.destroy();
    this.stream = new WorkerStream((bytes) => this.send({ kind: 'bytes', bytes }, bytes), this.broken);
    return this.stream;
  }

  /** Breaks off every conversation, now and later, for this reason. */
  fail(reason: string): void {
    this.broken ??= new DatabaseUnavailableError(reason);
    for (const { reject } of this.waiting.splice(0)) reject(this.broken);
    this.stream?.destroy(this.broken);
  }

  /** The whole database as a tar file, for `snapshot`. */
  async dump(): Promise<Uint8Array> {
    this.send({ kind: 'dump' });
    const report = await this.expect('dump');
    return report.kind === 'dump' ? report.bytes : new Uint8Array();
  }

  /** Writes a checkpoint, so that the next start has nothing to recover. */
  async close(): Promise<void> {
    if (!this.broken) {
      this.send({ kind: 'close' });
      await this.expect('closed').catch(() => undefined);
    }
    this.broken ??= new DatabaseUnavailableError('The embedded database has been closed.');
    await this.worker.terminate();
  }

  private send(order: Order, handOver?: Uint8Array<ArrayBuffer>): void {
    if (this.broken) return;
    this.worker.postMessage(order, handOver ? [handOver.buffer] : []);
  }

  private expect(kind: Report['kind']): Promise<Report> {
    if (this.broken) return Promise.reject(this.broken);
    return new Promise((resolve, reject) => this.waiting.push({ kind, resolve, reject }));
  }

  private receive(report: Report): void {
    if (report.kind === 'bytes') this.stream?.receive(report.bytes);
    else if (report.kind === 'failed') this.fail(report.reason);
    else {
      const index = this.waiting.findIndex((entry) => entry.kind === report.kind);
      for (const entry of index < 0 ? [] : this.waiting.splice(index, 1)) entry.resolve(report);
    }
  }
}
