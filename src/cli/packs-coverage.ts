import { readShelf } from '../rules.js';
import { coverageOf, type Coverage, type PackCoverage, type Share } from '../trials/coverage.js';
import { saySelector } from '../trials/sentences.js';
import { checkPackFiles, choose, errorsIn } from './packs.js';

/**
 * Shows what no test of the packs at these places touches, or of all packs.
 *
 * @returns the exit code: 1 when a pack has an error, or the share is below `least` percent.
 */
export async function coverPackFiles(
  places: readonly string[],
  { json = false, least = 0 }: { readonly json?: boolean; readonly least?: number },
): Promise<number> {
  const shelf = await readShelf(places);
  const chosen = choose(shelf, places);
  if (errorsIn(shelf, chosen) > 0 || chosen.length === 0) return checkPackFiles(places);
  const coverage = coverageOf(
    chosen.flatMap(({ pack }) => pack ?? []),
    shelf.packs,
  );
  process.stdout.write(json ? `${JSON.stringify(coverage, null, 2)}\n` : sayCoverage(coverage));
  return percent(coverage.total) < least ? 1 : 0;
}

/** The untouched, pack by pack, and the shares. */
export function sayCoverage({ packs, total }: Coverage): string {
  const width = Math.max(...packs.map(({ pack }) => pack.length), 5);
  const rows = [
    ['pack'.padEnd(width), 'rules', 'limits', 'branches', 'messages', 'all'],
    ...packs.map((one) => [one.pack.padEnd(width), ...columns(one), said(one.total)]),
    ['total'.padEnd(width), ...totals(packs), said(total)],
  ];
  const table = rows.map((row) => row.map((cell, index) => (index === 0 ? cell : cell.padStart(15))).join(' '));
  const untouched = packs.flatMap((one) => {
    const lines = missing(one);
    return lines.length === 0 ? [] : [one.pack, ...lines.map((line) => `  ${line}`), ''];
  });
  return `${[...untouched, ...table].join('\n')}\n`;
}

function shares({ rules, limits, branches, messages }: PackCoverage): Share[] {
  const share = (outcomes: readonly (boolean | undefined)[]) => {
    const all = outcomes.filter((one) => one !== undefined);
    return { covered: all.filter(Boolean).length, of: all.length };
  };
  return [
    share(rules.flatMap(({ fired, silent, cleared }) => [fired, silent, cleared])),
    share(limits.flatMap(({ met, broken }) => [met, broken])),
    share(branches.flatMap((leaf) => [leaf.true, leaf.false])),
    share(messages.map((message) => message.said)),
  ];
}

const columns = (one: PackCoverage) => shares(one).map(said);

function totals(packs: readonly PackCoverage[]): string[] {
  const all = packs.map(shares);
  return [0, 1, 2, 3].map((column) =>
    said(
      all.reduce(
        (sum, each) => ({ covered: sum.covered + (each[column]?.covered ?? 0), of: sum.of + (each[column]?.of ?? 0) }),
        { covered: 0, of: 0 },
      ),
    ),
  );
}

function missing({ rules, limits, branches, messages }: PackCoverage): string[] {
  const not = (words: Readonly<Record<string, boolean | undefined>>) =>
    Object.entries(words).flatMap(([word, seen]) => (seen === false ? word : []));
  const line = (what: string, never: readonly string[]) =>
    never.length === 0 ? [] : [`${what}: never ${never.join(', never ')}`];
  return [
    ...rules.flatMap(({ rule, fired, silent, cleared }) => line(`rule ${rule}`, not({ fired, silent, cleared }))),
    ...limits.flatMap((rung) => {
      const where = saySelector(rung.for);
      const name = `limit ${rung.limit} ${rung.side} ${rung.bound} (${rung.severity}${where && `; ${where}`})`;
      const never = not({ met: rung.met, broken: rung.broken });
      return line(name, never.length > 0 && !rung.notEvaluable ? [...never, 'not evaluable'] : never);
    }),
    ...branches.flatMap(({ rule, part, path, leaf, true: yes, false: no }) =>
      line(`${rule} ${part}${path && `/${path}`}: ${leaf}`, not({ true: yes, false: no })),
    ),
    ...messages.flatMap((message) => line(`${message.rule} says "${message.say}"`, message.said ? [] : ['said'])),
  ];
}

const percent = ({ covered, of }: Share) => (of === 0 ? 100 : (100 * covered) / of);
// Cut, not rounded: 100 % means all.
const said = (share: Share) => `${share.covered}/${share.of} ${Math.floor(percent(share))} %`;
