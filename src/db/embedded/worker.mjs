/**
 * The thread of the embedded database: PGlite answers while it computes, and a long query would stall the server's event
 * loop. It passes bytes of PostgreSQL's protocol in and out; who speaks through them is node-postgres on the main side.
 * Plain JavaScript, so that Node starts it as it stands both from `src/` and from `dist/`.
 */
import { Blob } from 'node:buffer';
import { parentPort, workerData } from 'node:worker_threads';
import { PGlite } from '@electric-sql/pglite';

/**
 * @typedef {{ dataDir?: string, snapshot?: Uint8Array }} Setup `dataDir`: a folder, none: memory; `snapshot`: a dump to start from
 * @typedef {{ kind: 'bytes', bytes: Uint8Array } | { kind: 'dump' } | { kind: 'close' }} Order
 * @typedef {{ kind: 'ready' } | { kind: 'bytes', bytes: Uint8Array } | { kind: 'dump', bytes: Uint8Array } | { kind: 'closed' } | { kind: 'failed', reason: string }} Report
 */

if (!parentPort) throw new Error('This file is started as a worker thread.');
const port = parentPort;
const setup = /** @type {Setup} */ (workerData);

/** @param {Report} message */
function report(message) {
  // Handed over, not copied.
  port.postMessage(message, 'bytes' in message ? [/** @type {ArrayBuffer} */ (message.bytes.buffer)] : []);
}

/** @param {readonly Uint8Array[]} parts */
function whole(parts) {
  const [only] = parts;
  if (parts.length === 1 && only !== undefined) return only;
  const bytes = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let offset = 0;
  for (const part of parts) {
    bytes.set(part, offset);
    offset += part.length;
  }
  return bytes;
}

/** @type {(order: Order) => Promise<void>} */
let obey;

async function start() {
  const database = await PGlite.create({
    dataDir: setup.dataDir ?? 'memory://',
    ...(setup.snapshot && { loadDataDir: new Blob([/** @type {Uint8Array<ArrayBuffer>} */ (setup.snapshot)]) }),
  });
  obey = async (order) => {
    if (order.kind === 'bytes') {
      // As a stream, though it is wanted whole: otherwise PGlite (0.5) also parses every message of the answer and keeps
      // what it parsed for good. Copied out of the memory of the database, which the next statement overwrites.
      /** @type {Uint8Array[]} */
      const parts = [];
      await database.execProtocolRawStream(order.bytes, { onRawData: (part) => void parts.push(part.slice()) });
      report({ kind: 'bytes', bytes: whole(parts) });
    } else if (order.kind === 'dump') {
      const dump = await database.dumpDataDir('none');
      report({ kind: 'dump', bytes: new Uint8Array(await dump.arrayBuffer()) });
    } else {
      await database.exec('RESET ROLE; CHECKPOINT').catch(() => undefined);
      await database.close();
      report({ kind: 'closed' });
    }
  };
}

/** @param {unknown} error */
function failed(error) {
  report({ kind: 'failed', reason: error instanceof Error ? error.message : String(error) });
}

// One order after another, whatever arrives meanwhile.
let last = start().then(() => report({ kind: 'ready' }), failed);
port.on('message', (/** @type {Order} */ order) => {
  last = last.then(() => obey(order)).catch(failed);
});
