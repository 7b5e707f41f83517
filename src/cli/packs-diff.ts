import { readFile, stat } from 'node:fs/promises';
import { nearest } from '../events/nearest.js';
import { loadPacks } from '../packs/load.js';
import type { Pack } from '../packs/model.js';
import { formatDiagnostic, readPack } from '../packs/reader/index.js';
import { readShelf, RulesError } from '../rules.js';
import type { Change, FieldChange, PackDiff } from '../trials/diff/index.js';
import { diffSets, type PacksDiff } from '../trials/diff/sets.js';

/**
 * Compares two packs, or two folders of packs: each a file, a folder, or the id of a shipped pack.
 *
 * @returns the exit code: 1 when a pack has an error, or a version does not follow its change.
 */
export async function diffPackFiles(before: string, after: string, json: boolean): Promise<number> {
  const [old, now] = [await packsAt(before), await packsAt(after)];
  for (const shown of [...old.faults, ...now.faults]) process.stdout.write(`${shown}\n\n`);
  if (old.faults.length + now.faults.length > 0) return 1;
  const diff = diffSets(old.packs, now.packs);
  process.stdout.write(json ? `${JSON.stringify(diff, null, 2)}\n` : sayDiff(diff));
  return diff.packs.every(({ version }) => version.follows) ? 0 : 1;
}

async function packsAt(place: string): Promise<{ packs: readonly Pack[]; faults: readonly string[] }> {
  const kind = await stat(place).catch(() => undefined);
  if (kind === undefined) return { packs: [await shipped(place)], faults: [] };
  if (kind.isDirectory()) {
    const { reads, texts } = await loadPacks(place);
    // What packs say of one another is for `packs check`: here each is read for itself.
    const faults = reads.flatMap(({ file, diagnostics }) =>
      diagnostics.filter(({ severity }) => severity === 'error').map((each) => formatDiagnostic(each, texts.get(file))),
    );
    return { packs: reads.flatMap(({ pack }) => pack ?? []), faults };
  }
  const text = await readFile(place, 'utf8');
  const { pack, diagnostics } = readPack(text, place);
  if (pack !== undefined) return { packs: [pack], faults: [] };
  return { packs: [], faults: diagnostics.map((each) => formatDiagnostic(each, text)) };
}

async function shipped(id: string): Promise<Pack> {
  const { packs } = await readShelf();
  const found = packs.find((pack) => pack.id === id);
  if (found !== undefined) return found;
  const near = nearest(
    id,
    packs.map((pack) => pack.id),
  );
  throw new RulesError(
    `There is no file, folder or shipped pack ${id}.${near === undefined ? '' : ` Did you mean ${near}?`}`,
  );
}

/** As a person reads it: "+" new, "-" gone, "~" changed; each field before and after. */
export function sayDiff({ packs, added, removed }: PacksDiff): string {
  const lines = [
    ...removed.map((id) => `- pack ${id}`),
    ...added.map((id) => `+ pack ${id}`),
    ...packs.flatMap(sayPack),
  ];
  return lines.length === 0 ? 'No difference.\n' : `${lines.join('\n')}\n`;
}

function sayPack({ before, after, changes, version }: PackDiff): string[] {
  const name = before.pack === after.pack ? after.pack : `${before.pack} -> ${after.pack}`;
  return [
    `${name} ${before.version} -> ${after.version}`,
    ...changes.flatMap(sayChange),
    sayVersion(before.version, after.version, version),
  ];
}

function sayVersion(before: string, after: string, { asks, proposed, follows }: PackDiff['version']): string {
  if (asks === 'none')
    return follows
      ? 'No difference in what it says.'
      : `No difference in what it says, yet its version falls to ${after}.`;
  const what = `${asks} change: after ${before} the version is ${proposed}`;
  if (follows) return `A ${what}${after === proposed ? '' : ' or later'}; the file says ${after}.`;
  return `A ${what} or later, and the file says ${after}: that does not follow.`;
}

const marks = { added: '+', removed: '-', changed: '~' } as const;

function sayChange({ part, id, of, change, fields, asks }: Change): string[] {
  const head = `${marks[change]} ${part} ${id}${of === undefined ? '' : ` (${of})`}`;
  const width = Math.max(0, ...fields.map(({ field }) => field.length));
  const rows = fields.map((field) => `    ${field.field.padEnd(width)}  ${sayField(field, change)}`);
  return [`${head}${asks === 'none' ? '' : `  ${asks}`}`, ...rows];
}

const went = { tighter: 'tighter', looser: 'looser', differs: 'neither surely tighter nor looser' } as const;

function sayField({ before, after, strictness }: FieldChange, change: Change['change']): string {
  const said = change === 'changed' ? `${before ?? 'none'} -> ${after ?? 'none'}` : (before ?? after ?? '');
  return strictness === undefined ? said : `${said}  ${went[strictness]}`;
}
