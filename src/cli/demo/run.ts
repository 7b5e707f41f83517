import { mkdtemp, rm } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { DateTime } from 'luxon';
import { startServer, type RunningServer } from '../../server.js';
import { thousands, widthOf, wrap, type Out } from './layout.js';
import { offices } from './offices.js';
import { Progress } from './progress.js';
import { season } from './season.js';
import { summary, type Answers } from './summary.js';
import { Talk } from './talk.js';
import type { SentEvent } from './teller.js';

export interface DemoOptions {
  /** End after the summary instead of serving until Ctrl-C. */
  readonly once?: boolean;
  /** Of the ordinary days; the told weeks are always the same. */
  readonly seed?: number;
  /** Default 8080, or any free one when that is taken. */
  readonly port?: number | undefined;
  /** Default loopback; any other wants `adminKey`. */
  readonly host?: string;
  /** Instead of one made for the demo; it is never printed. */
  readonly adminKey?: string | undefined;
  readonly out?: Out;
}

const batchSize = 500;
const usualPort = 8080;

/**
 * The demo: a server on the embedded database in a fresh folder, a season of four invented offices posted through its
 * HTTP API, a summary, and then the server itself to look at. The folder is removed at the end, however it ends.
 * @throws when the port that was asked for is taken, the host needs a key, or the server refuses an event.
 */
export async function runDemo(options: DemoOptions = {}): Promise<void> {
  const { once = false, seed = 1, out = process.stdout } = options;
  const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-demo-'));
  let server: RunningServer | undefined;
  const stopped = interruption();
  try {
    const { events, end } = season(seed);
    introduce(out, events, end);
    const started = Date.now();
    // The clock stands where the season ends and runs on from there.
    server = await start(folder, options, () => end + Date.now() - started);
    const talk = new Talk(server.url, server.adminKey ?? '');
    if (!(await post(talk, events, out, stopped.signal))) return;
    await server.sweep();
    const width = widthOf(out);
    out.write(`${summary(await answersOf(talk), width).join('\n')}\n\n`);
    if (once) return;
    out.write(`${lookAt(server, folder).join('\n')}\n`);
    await stopped.happened;
    out.write('\nStopping.\n');
  } finally {
    stopped.forget();
    await server?.close();
    await rm(folder, { recursive: true, force: true });
  }
}

function introduce(out: Out, events: readonly SentEvent[], end: number): void {
  const clock = DateTime.fromMillis(end, { zone: 'America/Los_Angeles' }).toFormat('cccc d LLLL yyyy, HH:mm');
  const text =
    `Four invented dental offices, January to September 2026: ${thousands(events.length)} events, posted in the order in which ` +
    `they happened through the HTTP API of a server that was just started on the embedded database. Its clock is set to ` +
    `the end of that season, ${clock} Pacific. Times below are each office's own.`;
  out.write(`\nStepwedge demo\n\n${wrap(text, widthOf(out)).join('\n')}\n\n`);
}

async function start(
  folder: string,
  { port, host = '127.0.0.1', adminKey }: DemoOptions,
  now: () => number,
): Promise<RunningServer> {
  const open = (at: number): Promise<RunningServer> =>
    startServer({
      // The sweeper is asked once, after the season: the demo's clock must not judge a season that is half told.
      sweepEvery: 0,
      now,
      // A folder for each try: the key of a database is shown at its first start only.
      config: {
        ...{ port: at, host, adminKey },
        ...{ dataDir: path.join(folder, `data-${at}`), logLevel: 'error', requestsAMinute: 0 },
      },
    });
  try {
    return await open(port ?? usualPort);
  } catch (error) {
    const taken = error instanceof Error && 'code' in error && error.code === 'EADDRINUSE';
    if (!taken || port !== undefined) throw error;
    return open(0);
  }
}

/** @returns false when somebody pressed Ctrl-C meanwhile. */
async function post(talk: Talk, events: readonly SentEvent[], out: Out, signal: AbortSignal): Promise<boolean> {
  const progress = new Progress(out, events.length);
  for (let first = 0; first < events.length; first += batchSize) {
    if (signal.aborted) return false;
    const batch = events.slice(first, first + batchSize);
    await talk.post(batch);
    const last = batch.at(-1);
    const now = last === undefined ? '' : DateTime.fromISO(last.time, { setZone: true }).toFormat('d LLL');
    progress.posted(first + batch.length, now);
  }
  progress.done();
  const seconds = progress.seconds();
  out.write(
    `  All ${thousands(events.length)} events accepted and judged in ${seconds.toFixed(1)} s, ${thousands(Math.round(events.length / seconds))}/s.\n\n`,
  );
  return true;
}

async function answersOf(talk: Talk): Promise<Answers> {
  const { findings, caution } = await talk.findings();
  const due = new Map(await Promise.all(offices.map(async ({ id }) => [id, await talk.due(id)] as const)));
  const boards = new Map(await Promise.all(offices.map(async ({ id }) => [id, await talk.board(id)] as const)));
  return { offices, findings, due, boards, caution };
}

function lookAt({ url, adminKey = '', keyIsNew }: RunningServer, folder: string): string[] {
  const key = keyIsNew ? adminKey : '$STEPWEDGE_ADMIN_KEY';
  return [
    'LOOK AT',
    `  Docs      ${url}/docs`,
    `  Findings  ${url}/v1/findings?severity=law`,
    `  Board     ${url}/v1/sites/pellquay/board?at=2026-02-11T12:00:00-07:00`,
    `  Key       ${key}`,
    '',
    '  Docs open in a browser; the others want the key:',
    '',
    `curl -s -H "Authorization: Bearer ${key}" '${url}/v1/findings?severity=law'`,
    `curl -s -H "Authorization: Bearer ${key}" '${url}/v1/sites/pellquay/board?at=2026-02-11T12:00:00-07:00'`,
    '',
    `Serving at ${url} from ${folder}.`,
    'Ctrl-C stops it and removes the folder.',
  ];
}

/**
 * Ctrl-C, or a polite kill: the first one stops the demo in order, a second one ends the process. The listener stays in
 * place until the end: with none left, those who clean up lock files at a signal would end the process themselves.
 */
function interruption(): { signal: AbortSignal; happened: Promise<void>; forget: () => void } {
  const controller = new AbortController();
  const names = ['SIGINT', 'SIGTERM'] as const;
  const stop = (): void => {
    if (controller.signal.aborted) process.exit(130);
    controller.abort();
  };
  for (const name of names) process.on(name, stop);
  return {
    signal: controller.signal,
    happened: new Promise((resolve) => controller.signal.addEventListener('abort', () => resolve())),
    forget: () => {
      for (const name of names) process.off(name, stop);
    },
  };
}
