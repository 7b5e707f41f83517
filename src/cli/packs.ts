import { filesAt, readShelf, type Shelf, type ShelvedPack } from '../rules.js';
import { runRuleTests } from '../trials/rule-tests.js';

/** Shows every fault of the packs at these places, or of all packs. @returns the exit code. */
export async function checkPackFiles(places: readonly string[]): Promise<number> {
  const shelf = await readShelf(places);
  const chosen = choose(shelf, places);
  const faults = shelf.faults.filter(({ file }) => chosen.some((each) => each.file === file));
  for (const { shown } of faults) process.stdout.write(`${shown}\n\n`);
  const errors = faults.filter(({ severity }) => severity === 'error').length;
  const warnings = faults.length - errors;
  process.stdout.write(
    `${counted(chosen.length, 'pack')}, ${counted(errors, 'error')}, ${counted(warnings, 'warning')}.\n`,
  );
  return errors === 0 && chosen.length > 0 ? 0 : 1;
}

/** Runs the tests that the packs at these places carry, or all packs. @returns the exit code. */
export async function testPackFiles(places: readonly string[]): Promise<number> {
  const shelf = await readShelf(places);
  const chosen = choose(shelf, places);
  if (errorsIn(shelf, chosen) > 0) return checkPackFiles(places);
  const outcomes = runRuleTests(
    chosen.flatMap(({ pack }) => pack ?? []),
    shelf.packs,
  );
  const failed = outcomes.filter(({ failure }) => failure !== undefined);
  for (const { rule, test, failure } of failed)
    process.stdout.write(`FAILED  ${rule}: ${test}\n${indented(failure ?? '')}\n`);
  process.stdout.write(
    `${counted(outcomes.length, 'test')} of ${counted(chosen.length, 'pack')}, ${failed.length} failed.\n`,
  );
  if (outcomes.length > 0) return failed.length === 0 ? 0 : 1;
  const isBare = chosen.length > 0 && chosen.every(({ pack }) => pack?.rules.length === 0);
  process.stdout.write(
    isBare
      ? 'There is nothing to run: limits alone need no tests, though a pack may carry some of its own (tests: at its top level).\n'
      : 'No test was found at these places.\n',
  );
  return isBare ? 0 : 1;
}

/** Errors in the chosen packs. */
export function errorsIn(shelf: Shelf, chosen: readonly ShelvedPack[]): number {
  const names = new Set(chosen.map(({ file }) => file));
  return shelf.faults.filter(({ file, severity }) => severity === 'error' && names.has(file)).length;
}

/** The packs at these places; all where none is named. */
export function choose(shelf: Shelf, places: readonly string[]): readonly ShelvedPack[] {
  return places.length === 0 ? shelf.files : filesAt(shelf, places);
}

const indented = (text: string) => text.replace(/^/gm, '        ');

function counted(count: number, what: string): string {
  return `${count} ${what}${count === 1 ? '' : 's'}`;
}
