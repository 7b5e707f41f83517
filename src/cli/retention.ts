import { readConfig } from '../config.js';
import { openDatabase } from '../db/open.js';
import { type Policy, PolicyError, retentionPlan } from '../delivery/retention.js';
import { retentionPeriods } from '../delivery/retention-periods.js';

/**
 * Prints which months of the ledger are past every record-keeping period, and what holds the others.
 * @param periods `us-wa=84`: what the organisation decided, in months. Answers the exit code.
 */
export async function printRetentionPlan(periods: readonly string[]): Promise<number> {
  const policy = readPolicy(periods);
  if (typeof policy === 'string') {
    process.stderr.write(`${policy}\n`);
    return 1;
  }
  const database = await openDatabase(readConfig(process.env));
  try {
    const { sites, months } = await retentionPlan(database, Date.now(), policy);
    const say = (line: string) => process.stdout.write(`${line}\n`);
    say(
      `Periods read: ${retentionPeriods.map((p) => `${p.jurisdiction} ${p.months} months for ${p.records} (${p.citation})`).join('; ')}.`,
    );
    if (policy.size > 0) say(`Periods given: ${[...policy].map(([id, count]) => `${id} ${count} months`).join(', ')}.`);
    const forever = sites.filter((site) => site.months === null);
    const unknown = [...new Set(forever.flatMap((site) => site.unknown))].sort();
    if (forever.length > 0) {
      say(
        `${forever.length} of ${sites.length} sites keep everything` +
          (unknown.length > 0 ? `, having no known period for all their records: ${unknown.join(', ')}.` : '.'),
      );
    }
    if (months.length === 0) {
      say('The ledger has no months of its own here (embedded database, or nothing stored yet). Nothing was removed.');
      return 0;
    }
    say('');
    for (const { name, from, to, past, heldBy } of months) {
      const [first] = heldBy;
      const why = first && `${heldBy.length} sites, among them ${first.organisation}/${first.site}`;
      say(
        `${past ? 'past' : 'kept'}  ${name.padEnd(14)} ${date(from)} to ${date(to)}${why === undefined ? '' : `  held by ${why}`}`,
      );
    }
    say(
      `\n${months.filter(({ past }) => past).length} of ${months.length} parts are past every period. Nothing was removed.`,
    );
    return 0;
  } catch (error) {
    if (!(error instanceof PolicyError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  } finally {
    await database.close();
  }
}

function readPolicy(periods: readonly string[]): Policy | string {
  const policy = new Map<string, number>();
  for (const period of periods) {
    const match = /^([a-z0-9-]{1,64})=(\d{1,4})$/.exec(period);
    if (match?.[1] === undefined)
      return `${period} is not a period: write a jurisdiction and its months, as in us-wa=84.`;
    policy.set(match[1], Number(match[2]));
  }
  return policy;
}

function date(instant: number | null): string {
  return instant === null ? 'the beginning' : new Date(instant).toISOString().slice(0, 10);
}
