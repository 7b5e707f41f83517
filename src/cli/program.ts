import { Command, InvalidArgumentError } from 'commander';
import { parseInstant } from '../events/instant.js';
import type { ExplainOptions } from './explain.js';
import { version } from '../installation.js';
import type { WhatIfOptions } from './what-if.js';

/** The `stepwedge` command. Each subcommand loads what it needs when it is called. */

export const program = new Command('stepwedge')
  .description('Rules-driven quality assurance of dental film radiography.')
  .version(version)
  .showSuggestionAfterError()
  .exitOverride();

program
  .command('serve')
  .description('serve the API until stopped; settings are environment variables (docs/configuration.md)')
  .action(async () => {
    const { serve } = await import('../process.js');
    await serve();
  });

program
  .command('migrate')
  .description('bring the database up to this release, without serving')
  .action(async () => {
    const { migrate } = await import('./migrate.js');
    await migrate();
  });

program
  .command('openapi')
  .description('print the contract of the API as YAML')
  .option('-o, --output <file>', 'write it to a file instead')
  .action(async ({ output }: { output?: string }) => {
    const { printContract } = await import('./openapi.js');
    await printContract(output);
  });

program
  .command('demo')
  .description('post a season of an invented group through the API of a temporary server, and show what it finds')
  .option('--once', 'end after the summary instead of serving on')
  .option('--seed <number>', 'another ordinary season around the told weeks', wholeNumber, 1)
  .action(async ({ once = false, seed }: { once?: boolean; seed: number }) => {
    const { runDemo } = await import('./demo/run.js');
    const { readConfig } = await import('../config.js');
    const { host, port, adminKey } = readConfig(process.env);
    // Only a port that somebody asked for: the usual one gives way when it is taken.
    await runDemo({ once, seed, host, port: process.env['PORT'] ? port : undefined, adminKey });
  });

program
  .command('export')
  .description('write all of an organisation but its API keys to a file, as of one moment (docs/reliability/backup.md)')
  .requiredOption('-o, --output <file>', 'the file, which must not be there yet; it holds a secret')
  .option('--organisation <id>', 'which one; needed only where there are several')
  .action(async ({ output, organisation }: { output: string; organisation?: string }) => {
    const { exportToFile } = await import('./transfer.js');
    process.exitCode = await exportToFile(output, organisation);
  });

program
  .command('import')
  .description('make an organisation out of such a file, as a whole or not at all, and show its first key')
  .argument('<file>')
  .option('--organisation <id>', 'another id than it had')
  .option(
    '--rejudge',
    'bring findings in line that the packs and the release here see differently, instead of refusing',
  )
  .action(async (file: string, options: { organisation?: string; rejudge?: boolean }) => {
    const { importFromFile } = await import('./transfer.js');
    process.exitCode = await importFromFile(file, options);
  });

const packs = program.command('packs').description('rule packs: those shipped, and your own');
packs
  .command('check')
  .description('read packs and show every fault with its place')
  .argument('[files...]', 'pack files or folders of your own, read besides the shipped ones')
  .action(async (files: string[]) => {
    const { checkPackFiles } = await import('./packs.js');
    process.exitCode = await checkPackFiles(files);
  });
packs
  .command('test')
  .description('run the tests that the packs carry')
  .argument('[files...]', 'pack files or folders of your own; only theirs are run')
  .action(async (files: string[]) => {
    const { testPackFiles } = await import('./packs.js');
    process.exitCode = await testPackFiles(files);
  });
packs
  .command('what-if')
  .description('show what would have been found with these packs in what is recorded; writes nothing')
  .argument('<files...>', 'pack files or folders; each takes the place of the pack of its id')
  .option('--site <id...>', 'only these sites')
  .option('--from <time>', 'the packs stand from then on; left out: as though they always had', pointInTime)
  .option('--to <time>', 'events up to then; left out: until now', pointInTime)
  .option('--against <before>', 'a file, a folder or a shipped pack to compare with, instead of the packs as they are')
  .option('--organisation <id>', 'which one; needed only where there are several')
  .option('--json', 'the whole answer, as the API gives it')
  .action(async (files: string[], options: WhatIfOptions) => {
    const { tryPackFiles } = await import('./what-if.js');
    process.exitCode = await tryPackFiles(files, options);
  });

packs
  .command('explain')
  .description('tell who limits a quantity at a site, who is strictest, what has no effect, what begins or ended')
  .argument(
    '<names...>',
    'a site and a quantity: the name of a limit, or a fact; with --jurisdictions the quantity alone',
  )
  .option('--at <instant>', 'as of a day or an instant, instead of now')
  .option('--organisation <id>', 'whose site; needed only where there are several')
  .option('--jurisdictions <list>', 'without a database: whose law holds, as in us,us-wa')
  .option('--method <word>', 'of the line there: manual, automatic, chairside; manual, if left out')
  .option('--chemistry <word>', 'standard or rapid')
  .option('--product <name>', 'the chemistry by name')
  .option('--zone <zone>', 'the time zone there; America/New_York, if left out')
  .action(async (names: string[], options: ExplainOptions) => {
    const { explainQuantity } = await import('./explain.js');
    process.exitCode = await explainQuantity(names, options);
  });

packs
  .command('coverage')
  .description('show which rules, limits, branches and messages no test of the packs touches')
  .argument('[files...]', 'pack files or folders of your own; only they are shown')
  .option('--json', 'as JSON')
  .option('--least <percent>', 'end with 1 when less is touched', wholeNumber)
  .action(async (files: string[], options: { json?: boolean; least?: number }) => {
    const { coverPackFiles } = await import('./packs-coverage.js');
    process.exitCode = await coverPackFiles(files, options);
  });

packs
  .command('diff')
  .description('show what is different between two packs, and the version that it asks for')
  .argument('<before>', 'a file, a folder, or the id of a shipped pack')
  .argument('<after>', 'the same')
  .option('--json', 'as JSON')
  .option('--history', 'what each of them finds in what is recorded, instead: as what-if <after> --against <before>')
  .action(async (before: string, after: string, { json = false, history }: { json?: boolean; history?: boolean }) => {
    if (history === true) {
      const { tryPackFiles } = await import('./what-if.js');
      process.exitCode = await tryPackFiles([after], { against: before, json });
      return;
    }
    const { diffPackFiles } = await import('./packs-diff.js');
    process.exitCode = await diffPackFiles(before, after, json);
  });

program
  .command('audit')
  .description('the audit trails')
  .command('verify')
  .description('recompute every hash chain of the database')
  .action(async () => {
    const { verifyAll } = await import('./audit.js');
    process.exitCode = await verifyAll();
  });

program
  .command('retention')
  .description('record-keeping periods')
  .command('plan')
  .description('show which months of the ledger are past every period, and what holds the others; removes nothing')
  .argument('[periods...]', 'periods that you decided, a jurisdiction and its months, as in us=84 us-wa=84')
  .action(async (periods: string[]) => {
    const { printRetentionPlan } = await import('./retention.js');
    process.exitCode = await printRetentionPlan(periods);
  });

/** A date is its first instant in UTC; a time has its offset. @returns ms. */
function pointInTime(text: string): number {
  const at = parseInstant(/^\d{4}-\d\d-\d\d$/.test(text) ? `${text}T00:00:00Z` : text);
  if (at === undefined)
    throw new InvalidArgumentError('It must be a date, or a time with its offset, such as 2026-03-09T00:00:00-07:00.');
  return at;
}

function wholeNumber(text: string): number {
  if (!/^\d{1,9}$/.test(text)) throw new InvalidArgumentError('It must be a whole number.');
  return Number(text);
}
