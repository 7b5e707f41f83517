/**
 * A whole server as `src/main.ts` starts it, in a process that is there to be killed: its clock can run faster than the
 * wall's, its sweeper comes round more often, and a fuse may end it at a chosen statement.
 */
import { writeSync } from 'node:fs';
import { pino } from 'pino';
import { readConfig } from '../../src/config.js';
import { startFault } from '../../src/process.js';
import { startServer } from '../../src/server.js';
import { type Clock, readClock } from './clock.js';
import { type Fuse, lay } from './fuse.js';

export interface Orders {
  readonly clock?: Clock;
  readonly fuse?: Fuse;
  /** ms between sweeps; 0: none. */
  readonly sweepEvery?: number;
  /** Events between checkpoints. */
  readonly spacing?: number;
}

const orders = JSON.parse(process.argv[2] ?? '{}') as Orders;
// Written at once: a line that is still in a buffer when the process dies is lost.
const say = (line: string): void => void writeSync(1, `${line}\n`);

const { clock, fuse } = orders;
if (fuse !== undefined) lay(fuse, say);
process.on('unhandledRejection', (error: unknown) => {
  process.stderr.write(`unhandled: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}\n`);
  process.exit(2);
});
try {
  const config = readConfig(process.env);
  say('opening');
  const server = await startServer({
    config,
    logger: pino({ level: config.logLevel }, pino.destination({ dest: 2, sync: true })),
    now: clock === undefined ? Date.now : () => readClock(clock),
    sweepEvery: orders.sweepEvery,
    spacing: orders.spacing,
  });
  say(`listens ${server.url}`);
  process.on('SIGTERM', () => void server.close().then(() => process.exit(0)));
} catch (error) {
  process.stderr.write(`${startFault(error)}\n`);
  process.exit(1);
}
