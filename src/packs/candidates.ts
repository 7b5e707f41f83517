import type { Pack } from './model.js';
import { checkPacks, packCaps, type Diagnostic, formatDiagnostic, type PackRead, readPack } from './reader/index.js';

/** The text of a pack that is not in force, and the name its faults give it. */
export interface PackText {
  readonly file: string;
  readonly text: string;
}

export interface Candidates {
  /** Those that are sound, in the order of their texts. */
  readonly packs: readonly Pack[];
  /** One for each text, undefined where it has an error. */
  readonly read: readonly (Pack | undefined)[];
  /** Of the texts, and of the present packs what only these texts make wrong; with the lines around each. */
  readonly diagnostics: readonly (Diagnostic & { readonly shown: string })[];
  /** No error among them. */
  readonly sound: boolean;
  /** The present packs beside them: all but those whose place they take. */
  readonly beside: readonly Pack[];
}

/** Reads packs as they would stand beside the present ones, each in the place of those of its id. */
export function candidates(
  texts: readonly PackText[],
  present: readonly PackRead[],
  reads: readonly PackRead[] = texts.map(({ file, text }) => readPack(text, file)),
): Candidates {
  const ids = new Set(reads.map(({ pack }, index) => pack?.id ?? idIn(texts[index]?.text ?? '')));
  const beside = present.filter(({ pack }) => pack === undefined || !ids.has(pack.id));
  const known = new Set(checkPacks(present).map(keyOf));
  const across = checkPacks([...beside, ...reads]).filter((fault) => !known.has(keyOf(fault)));
  const byFile = new Map(texts.map(({ file, text }) => [file, text]));
  const diagnostics = [...reads.flatMap((read) => read.diagnostics), ...across].map((fault) => ({
    ...fault,
    shown: formatDiagnostic(fault, byFile.get(fault.file)),
  }));
  const wrong = new Set(diagnostics.filter(({ severity }) => severity === 'error').map(({ file }) => file));
  const read = reads.map(({ file, pack }) => (wrong.has(file) ? undefined : pack));
  return {
    packs: read.filter((pack) => pack !== undefined),
    read,
    diagnostics,
    sound: wrong.size === 0,
    beside: beside.flatMap(({ pack }) => pack ?? []),
  };
}

/** A text with faults has no pack, but may still say whose place it is to take. */
function idIn(text: string): string | undefined {
  if (text.length > packCaps.bytes) return undefined;
  // Within one line: across lines, every blank line of a long text would be gone through again from each of the others.
  const [, id] = /^[ \t]*["']?pack["']?[ \t]*:[ \t]*["']?([a-z0-9/-]{1,200})/m.exec(text) ?? [];
  return id ?? /"pack": ?"([^"]{1,200})"/.exec(text)?.[1];
}

const keyOf = ({ file, line, column, code, message }: Diagnostic) => `${file}:${line}:${column} ${code} ${message}`;
