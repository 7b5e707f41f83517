import { Duplex } from 'node:stream';

/** First byte of PostgreSQL's message "Terminate". */
const terminate = 0x58;

/**
 * Stands where node-postgres expects a socket. Whole messages go in, as node-postgres writes them, and come out; there
 * are no packets, no delays and no keep-alive.
 */
export class WorkerStream extends Duplex {
  /** @param broken the reason why there is nothing to connect to, if so */
  constructor(
    private readonly send: (bytes: Uint8Array<ArrayBuffer>) => void,
    private readonly broken?: Error,
  ) {
    super();
  }

  connect(): this {
    process.nextTick(() => (this.broken ? this.destroy(this.broken) : this.emit('connect')));
    return this;
  }

  receive(bytes: Uint8Array): void {
    if (!this.destroyed) this.push(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength));
  }

  setNoDelay(): this {
    return this;
  }

  setKeepAlive(): this {
    return this;
  }

  ref(): this {
    return this;
  }

  unref(): this {
    return this;
  }

  override _read(): void {}

  override _write(chunk: Buffer, _encoding: BufferEncoding, done: () => void): void {
    this.forward([chunk]);
    done();
  }

  override _writev(chunks: { chunk: Buffer }[], done: () => void): void {
    this.forward(chunks.map(({ chunk }) => chunk));
    done();
  }

  override _final(done: () => void): void {
    this.push(null);
    done();
  }

  private forward(chunks: Buffer[]): void {
    // The end of a conversation is not the end of the database, whose only session it is.
    const messages = chunks.filter((chunk) => chunk[0] !== terminate);
    if (messages.length === 0) return;
    // Copied into memory of its own, to be handed over to the thread.
    const bytes = new Uint8Array(messages.reduce((sum, { length }) => sum + length, 0));
    let offset = 0;
    for (const message of messages) {
      bytes.set(message, offset);
      offset += message.length;
    }
    this.send(bytes);
  }
}
