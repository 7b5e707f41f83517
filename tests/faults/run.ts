import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { Sweeper } from '../../src/delivery/sweeper.js';
import type { Database } from '../../src/db/port.js';
import { createLedger } from '../../src/ledger/context.js';
import { PackBook } from '../../src/packs/book.js';
import { soundShelf } from '../../src/rules.js';
import { Chance } from './chance.js';
import { type Clock, readClock } from './clock.js';
import { bookOf, Editor, publicationFaults } from './editor.js';
import { Fleet, spacing } from './fleet.js';
import { began, type Load, makeLoad, span } from './load.js';
import { Senders } from './senders.js';
import { type Verdict, verify } from './verify.js';

/** The office's own packs, one after the other in force: each change judges every site anew. */
const packs = [
  { 'wedge-steps': '1', from: '2026-01-20' },
  { 'wedge-steps': '1', from: undefined },
] as const;

async function writePacks(folder: string): Promise<string[]> {
  return Promise.all(
    packs.map(async ({ from }, index) => {
      const place = path.join(folder, `packs-${index + 1}`);
      await mkdir(place);
      await writeFile(
        path.join(place, 'own.yaml'),
        `pack: office/own
version: 1.0.${index}
title: The office's own limits
authority: The office
layer: clinic
${from === undefined ? '' : `from: ${from}\n`}citation: { text: 'The office, by agreement', read: practice }
limits:
  - { id: wedge-steps, of: wedge.steps, max: 1, severity: warning }
`,
      );
      return place;
    }),
  );
}

export interface Round {
  readonly seed: number;
  readonly kills: number;
  /** Expected length, ms: in it the made-up year's hundred days go by. */
  readonly lasts: number;
  readonly sites: number;
  readonly size: number;
}

/**
 * One run: servers live and die while offices send, then the database is opened once more, swept, and held against the
 * model. `folder` takes the office's packs.
 * @param inspect looks at the database after the verdict, before it is closed.
 */
export async function play(
  round: Round,
  folder: string,
  slots: readonly Readonly<Record<string, string>>[],
  open: () => Promise<Database>,
  inspect?: (database: Database, judge: () => Promise<Verdict>) => Promise<void>,
): Promise<Verdict> {
  const started = Date.now();
  const chance = new Chance(round.seed);
  const load = makeLoad(chance, round.sites, round.size);
  const rules = await writePacks(folder);
  const clock: Clock = { began, wall: Date.now(), speed: span / round.lasts };
  // None at first; then the one, then the other: whoever starts from then on brings it along.
  const present = () => rules[Math.floor((3 * fleet.killed) / round.kills) - 1];
  const fleet: Fleet = new Fleet({
    chance,
    clock,
    kills: round.kills,
    slots: slots.map((slot) => () => {
      const place = present();
      return { ...slot, ...(place === undefined ? {} : { STEPWEDGE_RULES_DIR: place }) };
    }),
    early: () => fleet.urls().length === 0 && fleet.killed < 3,
  });
  const senders = new Senders({
    chance: new Chance(round.seed + 1),
    clock,
    urls: () => fleet.urls(),
    progress: () => fleet.killed / (round.kills - 1),
    senders: 4,
  });
  const editor = new Editor({ chance: new Chance(round.seed + 2), clock, urls: () => fleet.urls() });
  const edited = editor.run();
  const sent = senders.run(load).finally(() => editor.stop());
  await Promise.all([fleet.run(sent), sent, edited]);
  const { packs } = await soundShelf(rules.slice(-1));
  const shipped = new PackBook(packs);
  const database = await open();
  try {
    await conclude(database, shipped, readClock(clock));
    const book = await bookOf(database, shipped);
    const judge = async (): Promise<Verdict> => {
      const { faults, ...seen } = await verify(database, book, load, senders);
      return { faults: [...faults, ...(await publicationFaults(database, editor))], ...seen };
    };
    const verdict = await judge();
    report(round, Date.now() - started, fleet, senders, editor, verdict);
    await inspect?.(database, judge);
    return verdict;
  } finally {
    await database.close();
  }
}

/** Opens the database of servers that are gone, and holds it against the model. */
export async function judge(
  open: () => Promise<Database>,
  load: Load,
  senders: Senders,
  clock: Clock,
  aside?: string,
): Promise<Verdict> {
  const book = new PackBook((await soundShelf([])).packs);
  const database = await open();
  try {
    await conclude(database, book, readClock(clock));
    return await verify(database, book, load, senders, aside);
  } finally {
    await database.close();
  }
}

/** What the next start would do: sites that other packs judged are judged anew, and what fell due opens. */
export async function conclude(database: Database, book: PackBook, now: number): Promise<void> {
  await new Sweeper(createLedger({ database, book, now: () => now, spacing })).sweep();
}

function report(
  round: Round,
  took: number,
  fleet: Fleet,
  senders: Senders,
  editor: Editor,
  { faults, ...seen }: Verdict,
): void {
  const lines = [...fleet.deaths].sort().map(([how, times]) => `  ${String(times).padStart(3)}  ${how}`);
  const outcomes = [...senders.outcomes].map(([how, times]) => `${how}: ${times}`).join(', ');
  process.stdout.write(
    `seed ${round.seed}: ${fleet.killed} killed in ${(took / 1000).toFixed(1)} s, ${faults.length} faults\n` +
      `${lines.join('\n')}\n  answers: ${outcomes}; packs published: ${editor.answered.size} of ${editor.sent.size}\n  ${JSON.stringify(seen)}\n${faults.map((fault) => `  ${fault}\n`).join('')}`,
  );
}
