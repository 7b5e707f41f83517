import { codeFrameColumns } from '@babel/code-frame';

/** Every fault a pack can have, with what it means; the documented list is checked against this one. */
export const faultCodes = {
  'bad-yaml': 'The text is not YAML (or JSON), or uses a part of YAML that packs do without.',
  'too-large': 'The file, a text or list in it, or what its aliases expand to is over the cap.',
  'too-many': 'More faults than are listed.',
  'too-deep': 'Mappings, lists or conditions are nested deeper than the cap.',
  'wrong-type': 'A text stands where a list, a mapping or a number is expected, or the other way round.',
  'missing-field': 'A required field is absent or empty.',
  'unknown-field': 'A field that this part of a pack does not have.',
  'unknown-word': 'A word outside the allowed ones of its field.',
  'bad-name': 'An id or name that is not written as names are.',
  'bad-quantity': 'Not a number with a unit, such as 76 [degF].',
  'unknown-unit': 'A unit that is not known.',
  'unit-mismatch': 'A unit of another dimension than the fact it is held against.',
  'bad-period': 'Not a stretch of time, such as 2 mo, 60 d, 24 h.',
  'bad-date': 'Not a date of the calendar, or a last day before the first.',
  'bad-range': 'A minimum above its maximum, in one limit or in two of a pack for the same lines.',
  'limit-wrong': 'A limit that says one side twice, or a side that nothing would judge, or has a role without a chart.',
  'unknown-fact': 'A name that the fact catalogue does not have.',
  'unknown-limit': 'A limit that no pack defines.',
  'unknown-chart': 'A chart that no pack defines.',
  'unknown-rule': 'A rule that no pack defines.',
  'unknown-table': 'A table of causes that no pack defines.',
  'unknown-defect': 'A cause of defects that no pack defines.',
  'fact-mismatch':
    'One fact held against a limit of another, limits of one name on two facts, or a chart that gives another.',
  'unknown-operator': 'An operator that conditions do not have.',
  'operator-mismatch': 'An operator that cannot compare this fact with this value.',
  'unknown-event': 'An event type that the catalogue does not have.',
  'not-evaluable-ever':
    'A fact, side, thing or bath that is never there where it is asked for: it could never be judged.',
  'word-not-allowed': 'A text fact held against a word it never has.',
  'placeholder-unknown': 'A placeholder in a message that nothing fills.',
  'duplicate-id': 'An id or key that is already taken.',
  'severity-conflict': 'A severity beside a named limit that already carries one, or neither.',
  'law-needs-text': 'The severity law on a source that was not read as text.',
  'law-not-binding': 'The severity law in a pack of a layer that does not bind: maker, practice or clinic.',
  'rows-not-ascending': 'Rows of a chart whose keys do not rise.',
  'chart-wrong': 'A gap or a unit that a chart has no place for: gaps run between keys of its rows.',
  'clears-wrong': 'A film, run, mount or event cannot be passed later.',
  'cadence-wrong': 'A duty says when it is owed in no way, or in several at once.',
  'defect-wrong': 'A cause whose fields do not go together, or a number that is no share or no factor.',
  'trend-wrong': 'A trend or a rate that asks for what is not kept, or whose fields do not go together.',
  'tests-missing': 'A rule without a test that fires, one that is silent and one at the boundary.',
  'event-wrong': 'An event of a test that the catalogue refuses.',
  'test-wrong': 'A test whose kind and expectation contradict each other.',
  'no-effect': 'Warning: a limit that is no stricter than one that binds wherever it applies.',
  'limits-conflict': 'Warning: two limits that bind the same place and cannot both be kept.',
  'limit-unjudged': 'Warning: a limit that no rule of any pack judges, as after a slip in its name.',
  'two-sheets': 'Warning: a sheet of a maker for lines for which another one is used.',
  deprecated: 'Warning: a rule or limit that its authors have set aside, with their reason.',
  'unknown-jurisdiction': 'Warning: a jurisdiction that is no place and is very like one that has packs.',
  'cause-alone': 'Warning: a cause that no other rule has, though one has a name very like it.',
} as const;
export type FaultCode = keyof typeof faultCodes;

/** One fault in a pack file, for a person and for an editor. Lines and columns count from 1. */
export interface Diagnostic {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine?: number;
  /** Exclusive. */
  readonly endColumn?: number;
  readonly code: FaultCode;
  readonly severity: 'error' | 'warning';
  /** A sentence: what is wrong and what is allowed. */
  readonly message: string;
  /** The nearest known name, when one is near. */
  readonly nearest?: string;
  /** JSON Pointer to the field. */
  readonly path: string;
}

/** A list of words as a sentence holds it: "a, b or c". */
export function oneOf(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;
}

/** The same of a list that may be long: the first dozen, and how many there are. */
export function someOf(words: readonly string[]): string {
  return words.length <= 16 ? oneOf(words) : `${words.slice(0, 12).join(', ')} … (${words.length} in all)`;
}

/** What a person wrote, short enough to repeat to them. */
export function quoted(text: string): string {
  const flat = text.replace(/[\p{Cc}\s]+/gu, ' ');
  return `"${flat.length > 60 ? `${flat.slice(0, 57)}...` : flat}"`;
}

/** What the frame would take for the end of a line, and YAML does not. */
const otherEnds = /[\u2028\u2029]|\r(?!$)/g;

/** A fault as the command line prints it: place, sentence, and the lines around it with a caret. */
export function formatDiagnostic(diagnostic: Diagnostic, text?: string): string {
  const { file, line, column, code, severity, message } = diagnostic;
  const head = `${file}:${line}:${column} ${severity} ${code}\n${message}`;
  if (text === undefined) return head;
  const lines = text
    .replace(/^\ufeff/, '')
    .split('\n')
    .map((row) => row.slice(0, 200).replace(otherEnds, ' '));
  const end =
    diagnostic.endLine === line && diagnostic.endColumn !== undefined
      ? { end: { line, column: Math.max(diagnostic.endColumn, column + 1) } }
      : {};
  const frame = codeFrameColumns(
    lines.join('\n'),
    { start: { line, column }, ...end },
    { linesAbove: 1, linesBelow: 1, highlightCode: false },
  );
  return `${head}\n${frame}`;
}
