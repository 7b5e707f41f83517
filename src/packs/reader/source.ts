import { Composer, isAlias, isMap, isSeq, Lexer, LineCounter, Parser } from 'yaml';
import type { CST, Document, Node } from 'yaml';
import type { Diagnostic, FaultCode } from './diagnostic.js';

/** Caps of a pack file; a file over one of them gets a fault, never a slow or a fallen process. */
export const packCaps = { bytes: 1024 * 1024, depth: 64, aliases: 500, nodes: 200_000 } as const;

/** A parsed file: the root node and what turns an offset into a line and a column. */
export interface Source {
  readonly file: string;
  readonly text: string;
  readonly document: Document;
  readonly root: Node | null;
  readonly lines: LineCounter;
}

/**
 * Parse a pack's text. The nesting is watched while the text is being parsed: composing deeply nested text recurses, and
 * on a full stack the process can die instead of throwing.
 */
export function parseSource(text: string, file: string): { source?: Source; diagnostics: Diagnostic[] } {
  const lines = new LineCounter();
  const fault = (code: FaultCode, message: string, from: number, to = from + 1): Diagnostic => ({
    file,
    ...span(lines, from, to),
    code,
    severity: 'error',
    message,
    path: '',
  });
  if (Buffer.byteLength(text) > packCaps.bytes) {
    return { diagnostics: [fault('too-large', `The file is larger than ${packCaps.bytes / 1024} KiB.`, 0)] };
  }
  const parser = new Parser(lines.addNewLine);
  lines.addNewLine(0);
  const composer = new Composer({ lineCounter: lines, prettyErrors: false, stringKeys: true, resolveKnownTags: false });
  let document: Document.Parsed | undefined;
  let more: Document.Parsed | undefined;
  let deep: number | undefined;
  for (const each of composer.compose(
    watched(parser, text, (offset) => (deep = offset)),
    true,
    text.length,
  )) {
    if (document === undefined) document = each;
    else more ??= each;
  }
  if (deep !== undefined)
    return { diagnostics: [fault('too-deep', `Nested more than ${packCaps.depth} levels deep.`, deep)] };
  if (document === undefined) return { diagnostics: [fault('bad-yaml', 'The file is empty.', 0)] };

  const problems = [...document.errors, ...document.warnings.filter(({ code }) => code === 'TAG_RESOLVE_FAILED')];
  // After the first break in the grammar the rest of the text is misread; its faults would only confuse.
  const broken = problems.find(({ code }) => code !== 'DUPLICATE_KEY' && code !== 'TAG_RESOLVE_FAILED');
  const faults = problems
    .filter((problem) => broken === undefined || problem === broken || problem.pos[0] < broken.pos[0])
    .map(({ code, message, pos }) =>
      code === 'DUPLICATE_KEY'
        ? fault('duplicate-id', 'This key is already in the mapping; a key stands once.', ...pos)
        : fault('bad-yaml', hint(text, lines, pos[0]) ?? sentence(message), ...pos),
    );
  if (more !== undefined)
    faults.push(fault('bad-yaml', 'A pack file holds one document; a second begins here.', more.range[0]));
  const source: Source = { file, text, document, root: document.contents, lines };
  if (faults.length === 0) {
    const over = budget(source);
    if (over !== undefined) faults.push(fault(over.code, over.message, over.offset));
  }
  return faults.length === 0 ? { source, diagnostics: [] } : { diagnostics: faults };
}

/** The parser's tokens, ended early when it stands deeper than the cap. */
function* watched(parser: Parser, text: string, onDeep: (offset: number) => void): Generator<CST.Token> {
  for (const lexeme of new Lexer().lex(text)) {
    yield* parser.next(lexeme);
    // The document and a scalar take a place each.
    if (parser.stack.length > packCaps.depth + 2) return onDeep(parser.offset);
  }
  yield* parser.end();
}

/** Follow every alias once, within a budget of nodes and depth: aliases of aliases grow without bound. */
function budget(source: Source): { code: FaultCode; message: string; offset: number } | undefined {
  let nodes = 0;
  let aliases = 0;
  const walk = (node: unknown, depth: number): ReturnType<typeof budget> => {
    const offset = (node as Node | null)?.range?.[0] ?? 0;
    if (++nodes > packCaps.nodes)
      return { code: 'too-large', message: `Holds more than ${packCaps.nodes} values with its aliases.`, offset };
    if (depth > packCaps.depth)
      return { code: 'too-deep', message: `Nested more than ${packCaps.depth} levels deep.`, offset };
    if (isAlias(node)) {
      if (++aliases > packCaps.aliases)
        return { code: 'too-large', message: `Uses more than ${packCaps.aliases} aliases.`, offset };
      return walk(node.resolve(source.document), depth + 1);
    }
    const children = isMap(node) ? node.items.map((pair) => pair.value) : isSeq(node) ? node.items : [];
    for (const child of children) {
      const over = walk(child, depth + 1);
      if (over !== undefined) return over;
    }
    return undefined;
  };
  return walk(source.root, 0);
}

/** From an offset range to lines and columns that count from 1. */
export function span(lines: LineCounter, from: number, to: number) {
  const start = lines.linePos(from);
  const end = lines.linePos(Math.max(to, from));
  return {
    line: Math.max(1, start.line),
    column: Math.max(1, start.col),
    endLine: Math.max(1, end.line),
    endColumn: Math.max(1, end.col),
  };
}

const sentence = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`);

/** `68 [degF]` inside braces ends the text at the bracket: the commonest slip, so it is named. */
function hint(text: string, lines: LineCounter, offset: number): string | undefined {
  const start = lines.lineStarts[lines.linePos(offset).line - 1] ?? 0;
  const before = text.slice(Math.max(start, offset - 200), offset);
  const unit = /^\[[\w.]{1,20}\]/.exec(text.slice(offset, offset + 30))?.[0];
  const amount = /[-+.\d]+ +$/.exec(before)?.[0];
  if (unit === undefined || amount === undefined || !/[{[,]/.test(before)) return undefined;
  return `Inside braces or brackets a quantity with such a unit needs quotes: '${amount}${unit}'.`;
}
