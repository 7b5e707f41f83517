import type { Pack } from '../model.js';
import { withinCaps } from './caps.js';
import type { Diagnostic } from './diagnostic.js';
import { pack } from './pack.js';
import { References } from './references.js';
import type { Reference } from './references.js';
import { withoutReserved } from './reserved.js';
import { packCaps, parseSource } from './source.js';
import { Reading } from './spot.js';

export { checkPacks } from './across.js';
export { faultCodes, formatDiagnostic } from './diagnostic.js';
export type { Diagnostic, FaultCode } from './diagnostic.js';
export { packCaps } from './source.js';

/** What reading one file gave: the pack when it has no error, every fault, and the names other packs may define. */
export interface PackRead {
  readonly file: string;
  readonly pack?: Pack;
  readonly diagnostics: readonly Diagnostic[];
  readonly used: readonly Reference[];
  readonly defined: readonly Reference[];
  /** Places of the file that were looked at: what reading it cost, whatever the machine. */
  readonly steps: number;
}

/**
 * Read a pack from YAML (or JSON) text. Never throws on bad text: every fault is in `diagnostics`, in the order of the
 * file. Names that another pack may define are judged by `checkPacks` once all are known.
 */
export function readPack(text: string, file: string): PackRead {
  const { source, diagnostics } = parseSource(text, file);
  if (source === undefined) return { file, diagnostics, used: [], defined: [], steps: 0 };
  const reading = new Reading(source);
  const references = new References();
  const read = pack(references)(reading.root());
  withinCaps(reading.root());
  withoutReserved(reading);
  if (reading.isFull) reading.diagnostics.push(more(reading));
  const found = inOrder(reading.diagnostics);
  const isGood = !found.some((each) => each.severity === 'error');
  return {
    file,
    ...(isGood && read !== undefined ? { pack: read } : {}),
    diagnostics: found,
    used: references.used,
    defined: references.defined,
    steps: reading.steps,
  };
}

/** Says that there is more than is told. */
function more(reading: Reading): Diagnostic {
  const message = `There may be more faults than these ${packCaps.faults}.`;
  return { file: reading.source.file, line: 1, column: 1, code: 'too-many', severity: 'error', message, path: '' };
}

/** By place; a fault that was met twice on the way is told once. */
function inOrder(diagnostics: readonly Diagnostic[]): Diagnostic[] {
  const seen = new Set<string>();
  return [...diagnostics]
    .sort((a, b) => a.line - b.line || a.column - b.column)
    .filter((each) => {
      const key = `${each.line}:${each.column}:${each.code}:${each.message}`;
      return !seen.has(key) && seen.add(key) !== undefined;
    });
}
