import { readdir, readFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { Engine } from 'json-rules-engine';
import type { TopLevelCondition } from 'json-rules-engine';
import type { Evaluation } from '../src/engine/checks.js';
import { season } from '../src/cli/demo/season.js';
import { decode } from '../src/events/decode.js';
import type { AnyEvent } from '../src/events/event.js';
import { PackBook } from '../src/packs/book.js';
import { compileCondition, otherName } from '../src/packs/conditions/compile.js';
import { resolveDotted, trace } from '../src/packs/conditions/trace.js';
import type { Condition } from '../src/packs/model.js';
import { operators } from '../src/packs/operators/index.js';
import { checkPacks, readPack } from '../src/packs/reader/index.js';
import { foldSite } from '../src/trials/fold-site.js';
import { hostile } from './hostile.js';

/**
 * What rules cost: evaluations a second by the closures, beside json-rules-engine on the same conditions and facts (both
 * must agree on every one before a number counts); reading, checking and shelving 1,000 packs; and the slowest of the
 * texts that a tenant could send to make reading slow. Times are of the processor, not of the clock on the wall, so that
 * other work on the machine does not count.
 *
 *     npm run bench:rules
 */
const folder = 'rules';
const manyPacks = 1000;
/** Compiled once a condition, as in the fold. */
const closuresOf = new Map<Condition, ReturnType<typeof compileCondition>>();
const engines = new Map<Condition, Engine>();
const files = (await readdir(folder, { recursive: true })).filter((name) => name.endsWith('.yaml')).sort();
const texts = await Promise.all(
  files.map(async (name) => ({ name, text: await readFile(path.join(folder, name), 'utf8') })),
);
const packs = texts.flatMap(({ name, text }) => readPack(text, name).pack ?? []);
const book = new PackBook(packs);

console.log(`${os.cpus()[0]?.model ?? 'unknown processor'}, Node ${process.version}; seconds of the processor.\n`);
await evaluations();
loading();
reading();

/** Seconds of the processor since a moment before. */
function since(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

/** Every judgement of a season of four offices under the shipped packs. */
function collected(): { cases: Evaluation[]; open: number; ledgers: AnyEvent[][] } {
  const { events } = season(1);
  const sites = [...new Set(events.map(({ site }) => site))];
  const ledgers = sites.map((site) => events.filter((event) => event.site === site).map(read));
  const cases: Evaluation[] = [];
  let open = 0;
  for (const ledger of ledgers)
    foldSite(ledger, book, undefined, ({ check, snapshot, result }) => {
      if (result === undefined) open += 1;
      else cases.push({ check, snapshot: structuredClone(snapshot), result });
    });
  return { cases, open, ledgers };
}

function read(event: { readonly time: string }): AnyEvent {
  const answer = decode(event, { now: Date.parse('2031-01-01T00:00:00Z'), hashPatient: (token) => token });
  if (!answer.ok) throw new Error(JSON.stringify(answer.faults));
  return answer.event as AnyEvent;
}

async function evaluations(): Promise<void> {
  const { cases, open, ledgers } = collected();
  for (const { check, snapshot, result } of cases) {
    const { fired } = await trace(check.when, snapshot);
    if (fired !== result) throw new Error(`${check.id}: closures say ${result}, json-rules-engine ${fired}`);
  }
  const fired = cases.filter(({ result }) => result === true).length;
  console.log(
    `${cases.length} evaluations of ${new Set(cases.map(({ check }) => check.id)).size} checks in a season of ${ledgers.length} offices, ${fired} of them true; both evaluators agree on each.`,
  );
  console.log(`${open} more were not evaluable and are not timed.\n`);

  const compiled = cases.map(({ check, snapshot }) => ({
    when: conditionOf(check.when),
    read: (name: string) => snapshot[name],
  }));
  const closures = rate(cases.length, () => {
    for (const { when, read: fact } of compiled) when.evaluate(fact);
  });
  const kept = cases.map(({ check, snapshot }) => ({ engine: engineOf(check.when), snapshot }));
  const library = await rateOf(cases.length, async () => {
    for (const { engine, snapshot } of kept) await engine.run(snapshot);
  });
  const fresh = await rateOf(cases.length, async () => {
    for (const { check, snapshot } of cases) await trace(check.when, snapshot);
  });
  const events = ledgers.reduce((sum, ledger) => sum + ledger.length, 0);
  const fold = rate(events, () => {
    for (const ledger of ledgers) foldSite(ledger, book);
  });
  row('evaluations a second: closures', closures);
  row('  json-rules-engine, one engine a rule, kept', library, closures / library);
  row('  json-rules-engine, fresh with its trace, as for findings', fresh, closures / fresh);
  row('events a second: the whole fold, facts and duties included', fold);
  row('  and evaluations in it', (fold * (cases.length + open)) / events);
  console.log();
}

function conditionOf(condition: Condition) {
  let known = closuresOf.get(condition);
  if (known === undefined) closuresOf.set(condition, (known = compileCondition(condition)));
  return known;
}

function engineOf(condition: Condition): Engine {
  let engine = engines.get(condition);
  if (engine === undefined) {
    engine = new Engine([], { allowUndefinedFacts: true, pathResolver: resolveDotted });
    for (const [name, compare] of Object.entries(operators)) {
      engine.removeOperator(name);
      engine.addOperator(name, (fact: unknown, value: unknown) => compare(fact, value) === true);
    }
    engine.addRule({ conditions: { all: [asLibrary(condition)] } as TopLevelCondition, event: { type: 'fired' } });
    engines.set(condition, engine);
  }
  return engine;
}

function asLibrary(condition: Condition): unknown {
  if ('all' in condition) return { all: condition.all.map(asLibrary) };
  if ('any' in condition) return { any: condition.any.map(asLibrary) };
  if ('not' in condition) return { not: asLibrary(condition.not) };
  const other = otherName(condition.value);
  return { ...condition, value: other === undefined ? condition.value : { fact: other } };
}

/** Times a second, over at least two seconds of the processor after one round to warm up. */
function rate(count: number, round: () => void): number {
  round();
  const before = process.cpuUsage();
  let rounds = 0;
  do {
    round();
    rounds += 1;
  } while (since(before) < 2);
  return (count * rounds) / since(before);
}

async function rateOf(count: number, round: () => Promise<void>): Promise<number> {
  await round();
  const before = process.cpuUsage();
  let rounds = 0;
  do {
    await round();
    rounds += 1;
  } while (since(before) < 2);
  return (count * rounds) / since(before);
}

function row(what: string, perSecond: number, times?: number): void {
  const ratio = times === undefined ? '' : `   ${times.toFixed(0)} times slower`;
  console.log(`${what.padEnd(60)} ${Math.round(perSecond).toLocaleString('en').padStart(12)}${ratio}`);
}

/** The shipped packs under other names, each for a place of its own. */
function variants(): { name: string; text: string }[] {
  return Array.from({ length: manyPacks }, (_, index) => {
    const { name, text } = texts[index % texts.length] as { name: string; text: string };
    const own = `v${index}`;
    return {
      name: `${own}/${name}`,
      text: text
        .replace(/^pack: /m, `pack: ${own}/`)
        .replace(/^jurisdiction: .*$/m, `jurisdiction: us-wa-${own}`)
        .replace(/(\bid: |\bchart: )(us-[a-z]+|common)\//g, `$1${own}/$2/`),
    };
  });
}

function loading(): void {
  const all = variants();
  const bytes = all.reduce((sum, { text }) => sum + Buffer.byteLength(text), 0);
  const reads = timed(`reading ${manyPacks} packs, ${(bytes / 2 ** 20).toFixed(1)} MiB`, () =>
    all.map(({ name, text }) => readPack(text, name)),
  );
  const faults = timed('  checking them against one another', () => checkPacks(reads));
  const good = reads.flatMap(({ pack }) => pack ?? []);
  if (good.length !== manyPacks || faults.length > 0)
    throw new Error(
      `${good.length} packs, ${faults.length} faults: ${faults[0]?.message ?? reads.find(({ pack }) => pack === undefined)?.diagnostics[0]?.message}`,
    );
  const shelf = timed('  a book of them, with its hash', () => new PackBook(good));
  const place = { zone: 'America/Los_Angeles', jurisdictions: ['us', 'us-wa', 'us-wa-v16'] };
  const set = timed('  the rules in force at one place', () => shelf.at(Date.parse('2026-03-02T12:00:00Z'), place));
  console.log(
    `  (${set.rules.size} rules there; ${Math.round(process.memoryUsage().heapUsed / 2 ** 20)} MiB of heap in use)\n`,
  );
}

function timed<T>(what: string, work: () => T): T {
  const before = process.cpuUsage();
  const result = work();
  console.log(`${what.padEnd(60)} ${since(before).toFixed(2).padStart(9)} s`);
  return result;
}

function reading(): void {
  const slow = hostile
    .map(([name, text]) => {
      const before = process.cpuUsage();
      const one = readPack(text, 'pack.yaml');
      checkPacks([one]);
      if (one.pack !== undefined) throw new Error(`${name} was taken for a pack.`);
      return { name, seconds: since(before), steps: one.steps };
    })
    .sort((a, b) => b.seconds - a.seconds);
  console.log(`the slowest of ${slow.length} hostile texts:`);
  for (const { name, seconds, steps } of slow.slice(0, 6))
    console.log(
      `  ${name.padEnd(58)} ${seconds.toFixed(2).padStart(9)} s ${String(steps).padStart(7)} places looked at`,
    );
}
