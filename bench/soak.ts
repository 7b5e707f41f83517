import { fork } from 'node:child_process';
import { once } from 'node:events';
import os from 'node:os';
import { createHistogram } from 'node:perf_hooks';
import { setTimeout as wait } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import type { Target } from './load.js';
import { answer, ownDatabase, ownFolder } from './places.js';
import { blockMeans, leastSquares } from './slope.js';
import type { SoakClock } from './soak-clock.js';
import { sendSite, type Seen } from './soak-sender.js';
import type { Ask, Memory, SoakSetup } from './soak-server.js';

/**
 * A steady rate of ordinary days for a long time: does memory stay flat, and is nothing lost?
 *
 *     npm run soak                                     20 minutes, 200 events/s, the embedded database
 *     npm run soak -- --minutes 480 --rate 100         as long as you like
 *     DATABASE_URL=postgresql://... npm run soak       PostgreSQL, in a database of its own
 *     npm run soak -- --sites 80 --warm 5 --guard 30
 *
 * `--warm`: minutes left out of the slope while caches and rings fill (default: a third of the time). `--guard`: MiB an
 * hour above which the lower end of the slope's interval must not lie. Ends with an error when an event was lost or
 * refused, when an answer was an error, or when the guard does not hold.
 */
const { values: given } = parseArgs({
  options: {
    minutes: { type: 'string', default: '20' },
    rate: { type: 'string', default: '200' },
    sites: { type: 'string', default: '20' },
    warm: { type: 'string' },
    guard: { type: 'string', default: '60' },
  },
});
const number = (name: 'minutes' | 'rate' | 'sites' | 'warm' | 'guard', otherwise: number): number => {
  const value = given[name] === undefined ? otherwise : Number(given[name]);
  if (!(value > 0)) throw new Error(`--${name} must be a number above 0.`);
  return value;
};
const minutes = number('minutes', 20);
const rate = number('rate', 200);
const sites = number('sites', 20);
const warm = number('warm', minutes / 3);
const guard = number('guard', 60);

const minute = 60_000;
const day = 86_400_000;
/** Events of an ordinary day of one site, those sent twice among them. */
const eventsADay = 24.1 * 1.02;
const sampleEvery = 5_000;
const mib = (bytes: number) => bytes / 2 ** 20;

const url = process.env['DATABASE_URL'];
const { place, remove } = url === undefined ? await ownFolder() : await ownDatabase(url);
const pace = {
  // Before the first office of the east opens.
  start: Date.UTC(2025, 0, 5, 12),
  speed: (rate * day) / (sites * eventsADay) / 1000,
};
console.log(
  `${os.availableParallelism()} cores (${os.cpus()[0]?.model ?? 'unknown'}), ${Math.round(os.totalmem() / 2 ** 30)} GiB, Node ${process.version}`,
);
console.log(
  `${url === undefined ? 'embedded database' : 'PostgreSQL'}; ${sites} sites, ${rate} events/s for ${minutes} minutes; ` +
    `a simulated day takes ${(day / pace.speed / 1000).toFixed(1)} s; the sender shares the machine.\n`,
);

const child = fork(fileURLToPath(new URL('./soak-server.js', import.meta.url)), [
  JSON.stringify({ ...place, clock: pace } satisfies SoakSetup),
]);
try {
  const target = await answer<Target>(child);
  process.exitCode = (await soak(target)) ? 0 : 1;
} finally {
  if (child.exitCode === null && child.signalCode === null) {
    tell({ ask: 'close' });
    await once(child, 'exit');
  }
  await remove();
}

async function soak(target: Target): Promise<boolean> {
  const clock: SoakClock = { ...pace, begun: Date.now() + 2_000 };
  tell({ ask: 'begin', begun: clock.begun });
  const latencies = createHistogram();
  const recent = createHistogram();
  const seen: Seen = {
    accepted: 0,
    duplicates: 0,
    late: 0,
    boards: 0,
    putOff: 0,
    lost: 0,
    errors: [],
    latency: (ms) => {
      // Microseconds; a histogram of whole numbers from 1.
      const value = Math.max(1, Math.round(ms * 1000));
      latencies.record(value);
      recent.record(value);
    },
  };
  const until = clock.begun + minutes * minute;
  const ids = Array.from({ length: sites }, (_, site) =>
    sendSite(`site-${site}`, (site % 24) - 12 + 1, target, clock, until, seen),
  );
  const samples = await sample(clock.begun, until, seen, recent);
  const sent = await Promise.all(ids);
  const lost = await missing(sent);
  return report(samples, seen, latencies, lost);
}

/** Asks the server for its memory every few seconds, and prints a line a minute. */
async function sample(
  begun: number,
  until: number,
  seen: Seen,
  recent: ReturnType<typeof createHistogram>,
): Promise<[minutes: number, memory: Memory][]> {
  const samples: [number, Memory][] = [];
  let printed = 0;
  let accepted = 0;
  console.log('  min  events/s  RSS MiB  heap  after GC  external   p50 ms   p95   p99  put off  errors');
  for (let at = begun; at <= until; at += sampleEvery) {
    await wait(Math.max(0, at - Date.now()));
    tell({ ask: 'memory' });
    const memory = await answer<Memory>(child);
    const elapsed = (Date.now() - begun) / minute;
    samples.push([elapsed, memory]);
    if (elapsed < printed + 1) continue;
    const cell = (value: number, width: number, digits = 0) => value.toFixed(digits).padStart(width);
    console.log(
      cell(elapsed, 5) +
        cell((seen.accepted - accepted) / 60 / (elapsed - printed), 10) +
        [cell(mib(memory.rss), 9), cell(mib(memory.heapUsed), 6), cell(mib(memory.live), 10)].join('') +
        cell(mib(memory.external), 10) +
        [50, 95, 99].map((p, at) => cell(recent.percentile(p) / 1000, at === 0 ? 9 : 6, 1)).join('') +
        cell(seen.putOff, 9) +
        cell(seen.errors.length, 8),
    );
    accepted = seen.accepted;
    printed = elapsed;
    recent.reset();
  }
  return samples;
}

/** Ids that were answered as accepted and are not in the ledger, and those that are in it and nobody sent. */
async function missing(sent: readonly (readonly string[])[]): Promise<string[]> {
  const wrong: string[] = [];
  for (const [site, ids] of sent.entries()) {
    tell({ ask: 'stored', site: `site-${site}` });
    const stored = await answer<string[]>(child);
    const there = new Set(stored);
    const expected = new Set(ids);
    if (there.size !== stored.length) wrong.push(`site-${site} holds an event twice`);
    wrong.push(...[...expected].filter((id) => !there.has(id)), ...stored.filter((id) => !expected.has(id)));
  }
  return wrong;
}

function report(
  samples: readonly [number, Memory][],
  seen: Seen,
  latencies: ReturnType<typeof createHistogram>,
  wrong: readonly string[],
): boolean {
  const slopeOf = (pick: (memory: Memory) => number) => {
    const points = samples
      .filter(([at]) => at >= warm)
      .map(([at, memory]): [number, number] => [at, mib(pick(memory))]);
    const { slope, margin, points: count } = leastSquares(blockMeans(points, 1));
    // Minutes to hours.
    return { slope: slope * 60, margin: margin * 60, count };
  };
  const said = ({ slope, margin }: { slope: number; margin: number }) =>
    `${slope.toFixed(1)} ± ${margin.toFixed(1)} MiB/h`;
  const rss = slopeOf(({ rss }) => rss);
  const live = slopeOf(({ live }) => live);
  const p = (at: number) => `${(latencies.percentile(at) / 1000).toFixed(1)} ms`;
  console.log(`
accepted ${seen.accepted} events (${seen.late} of them hours late), ${seen.duplicates} duplicates, ${seen.boards} boards read
from when an event was due to its answer: p50 ${p(50)}, p95 ${p(95)}, p99 ${p(99)}, longest ${p(100)}
answered 429 or 503 and sent again: ${seen.putOff}; connections lost: ${seen.lost}; errors: ${seen.errors.length}; lost or double events: ${wrong.length}
RSS after ${warm.toFixed(0)} minutes: slope ${said(rss)} (least squares over ${rss.count} one-minute means, 95 % interval)
heap after full collections: slope ${said(live)}`);
  for (const error of [...seen.errors.slice(0, 5), ...wrong.slice(0, 5)]) console.log(`  ${error}`);
  const flat = rss.slope - rss.margin <= guard;
  if (!flat) console.log(`The slope of RSS lies above the guard of ${guard} MiB/h.`);
  return flat && seen.errors.length === 0 && wrong.length === 0 && seen.accepted > 0;
}

function tell(ask: Ask): void {
  child.send(ask);
}
