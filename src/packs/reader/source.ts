import { Composer, isAlias, isMap, isNode, isScalar, isSeq, Lexer, LineCounter, Parser } from 'yaml';
import type { Alias, CST, Document, Node, YAMLMap } from 'yaml';
import type { Diagnostic, FaultCode } from './diagnostic.js';

/**
 * Caps of a pack file; a file over one of them gets a fault, never a slow or a fallen process. `pieces` are the words and
 * marks that the text falls into: the largest shipped packs have some 3,000. With them bounded, the worst text found
 * takes about a second.
 */
export const packCaps = {
  bytes: 256 * 1024,
  pieces: 40_000,
  depth: 64,
  aliases: 500,
  nodes: 40_000,
  text: 4_000,
  faults: 200,
  /** Of one event of a test, or one text. */
  faultsAPlace: 20,
} as const;

/** A parsed file: the root node and what turns an offset into a line and a column. */
export interface Source {
  readonly file: string;
  readonly text: string;
  /** What each alias stands for. */
  readonly targets: ReadonlyMap<Alias, Node>;
  readonly root: Node | null;
  readonly lines: LineCounter;
}

/**
 * Parse a pack's text. The nesting is watched while the text is being parsed: composing deeply nested text recurses, and
 * on a full stack the process can die instead of throwing.
 */
export function parseSource(text: string, file: string): { source?: Source; diagnostics: Diagnostic[] } {
  const isTooLarge = Buffer.byteLength(text) > packCaps.bytes;
  const lines = linesOf(isTooLarge ? '' : text);
  const fault = (code: FaultCode, message: string, from: number, to = from + 1): Diagnostic => ({
    file,
    ...span(lines, from, to),
    code,
    severity: 'error',
    message,
    path: '',
  });
  if (isTooLarge) {
    return { diagnostics: [fault('too-large', `The file is larger than ${packCaps.bytes / 1024} KiB.`, 0)] };
  }
  const stray = strayCharacter(text);
  if (stray !== undefined) return { diagnostics: [fault('bad-yaml', noText(stray.character), stray.at)] };
  const parser = new Parser();
  // The library compares each key with every other; repeated keys are looked for below instead.
  const composer = new Composer({
    lineCounter: lines,
    prettyErrors: false,
    stringKeys: true,
    resolveKnownTags: false,
    uniqueKeys: false,
  });
  let document: Document.Parsed | undefined;
  let more: Document.Parsed | undefined;
  let over: { code: FaultCode; message: string; offset: number } | undefined;
  for (const each of composer.compose(
    watched(parser, text, (code, message) => (over = { code, message, offset: parser.offset })),
    true,
    text.length,
  )) {
    if (document === undefined) document = each;
    else more ??= each;
  }
  if (over !== undefined) return { diagnostics: [fault(over.code, over.message, over.offset)] };
  if (document === undefined) return { diagnostics: [fault('bad-yaml', 'The file is empty.', 0)] };

  const problems = [...document.errors, ...document.warnings.filter(({ code }) => code === 'TAG_RESOLVE_FAILED')];
  // After the first break in the grammar the rest of the text is misread; its faults would only confuse.
  const broken = problems.find(({ code }) => code !== 'TAG_RESOLVE_FAILED');
  const faults = problems
    .filter((problem) => broken === undefined || problem === broken || problem.pos[0] < broken.pos[0])
    .map(({ message, pos }) =>
      fault(
        'bad-yaml',
        onlyReturns(text) ?? hint(text, lines, pos[0]) ?? sentence(message.replace('tag:yaml.org,2002:', '!!')),
        ...pos,
      ),
    );
  if (more !== undefined)
    faults.push(fault('bad-yaml', 'A pack file holds one document; a second begins here.', more.range[0]));
  const targets = new Map<Alias, Node>();
  if (broken === undefined)
    for (const { code, message, from, to } of survey(document.contents, targets))
      faults.push(fault(code, message, from, to));
  if (faults.length > 0) return { diagnostics: faults.slice(0, packCaps.faults) };
  return { source: { file, text, targets, root: document.contents, lines }, diagnostics: [] };
}

/** Where lines begin, by the text itself: the parser passes over line ends in what it cannot read. */
function linesOf(text: string): LineCounter {
  const lines = new LineCounter();
  // A mark of byte order before the text is in no column.
  lines.addNewLine(text.startsWith('\ufeff') ? 1 : 0);
  for (let at = text.indexOf('\n'); at !== -1; at = text.indexOf('\n', at + 1)) lines.addNewLine(at + 1);
  return lines;
}

/** The parser's tokens, ended early when it is over a cap. */
function* watched(
  parser: Parser,
  text: string,
  onOver: (code: FaultCode, message: string) => void,
): Generator<CST.Token> {
  let pieces = 0;
  for (const lexeme of new Lexer().lex(text)) {
    yield* parser.next(lexeme);
    // The document and a scalar take a place each.
    if (parser.stack.length > packCaps.depth + 2) return onOver('too-deep', tooDeep);
    if (++pieces > packCaps.pieces)
      return onOver('too-large', `The file has more than ${packCaps.pieces} words and marks.`);
  }
  yield* parser.end();
}

const tooDeep = `Nested more than ${packCaps.depth} levels deep.`;

interface Found {
  readonly code: FaultCode;
  readonly message: string;
  readonly from: number;
  readonly to: number;
}

/**
 * Walk the whole document once before anything is read: repeated keys, and a budget of nodes and depth with every alias
 * followed, since aliases of aliases grow without bound.
 */
function survey(root: Node | null, targets: Map<Alias, Node>): Found[] {
  const found: Found[] = [];
  const anchors = new Map<string, Node>();
  let nodes = 0;
  let aliases = 0;
  let isOver = false;
  const tell = (code: FaultCode, message: string, node: unknown) => {
    const [from, to] = (node as Node | null)?.range ?? [0, 1];
    found.push({ code, message, from, to });
  };
  const over = (code: FaultCode, message: string, node: unknown) => {
    isOver = true;
    tell(code, message, node);
  };
  const walk = (node: unknown, depth: number, isFirst: boolean): void => {
    if (++nodes > packCaps.nodes)
      return over('too-large', `Holds more than ${packCaps.nodes} values with its aliases.`, node);
    if (depth > packCaps.depth) return over('too-deep', tooDeep, node);
    if (isAlias(node)) {
      if (++aliases > packCaps.aliases) return over('too-large', `Uses more than ${packCaps.aliases} aliases.`, node);
      if (isFirst) {
        const anchored = anchors.get(node.source);
        if (anchored !== undefined) targets.set(node, anchored);
      }
      const target = targets.get(node);
      if (target !== undefined) return walk(target, depth + 1, false);
      return tell('bad-yaml', `No anchor &${node.source.slice(0, 60)} stands before this alias.`, node);
    }
    if (isFirst) sayStray(node, tell);
    if (isFirst && isNode(node) && node.anchor !== undefined) anchors.set(node.anchor, node);
    if (isFirst && isMap(node)) repeated(node, tell);
    if (isFirst && isMap(node)) for (const { key } of node.items) sayStray(key, tell);
    const children = isMap(node) ? node.items.map((pair) => pair.value) : isSeq(node) ? node.items : [];
    for (const child of children) {
      walk(child, depth + 1, isFirst);
      if (isOver) return;
    }
  };
  walk(root, 0, true);
  return found;
}

/** Control characters and halves of characters: no text, and no database keeps them. */
function strayCharacter(text: string): { readonly character: string; readonly at: number } | undefined {
  const found = /[^\P{Cc}\t\n\r]|\p{Cs}/u.exec(text);
  return found === null ? undefined : { character: found[0], at: found.index };
}

function noText(character: string): string {
  const code = (character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0');
  return `U+${code} is no character of a text; leave it out.`;
}

/** The same where it is written as an escape. */
function sayStray(node: unknown, tell: (code: FaultCode, message: string, node: unknown) => void): void {
  if (!isScalar(node) || typeof node.value !== 'string') return;
  const stray = strayCharacter(node.value);
  if (stray !== undefined) tell('bad-yaml', noText(stray.character), node);
}

function repeated(map: YAMLMap, tell: (code: FaultCode, message: string, node: unknown) => void): void {
  const seen = new Set<unknown>();
  for (const { key } of map.items) {
    const name = isScalar(key) ? key.value : key;
    if (seen.has(name)) tell('duplicate-id', 'This key is already in the mapping; a key stands once.', key);
    seen.add(name);
  }
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

/** Lines that end as no editor ends them now: to YAML the file is one line. */
function onlyReturns(text: string): string | undefined {
  if (!text.includes('\r') || text.includes('\n')) return undefined;
  return 'The lines of the file end with a carriage return alone; save it with LF or CRLF.';
}

const sentence = (text: string) => (/[.!?]$/.test(text) ? text : `${text}.`);

/** `68 [degF]` inside braces ends the text at the bracket: the commonest slip, so it is named. */
function hint(text: string, lines: LineCounter, offset: number): string | undefined {
  const start = lines.lineStarts[lines.linePos(offset).line - 1] ?? 0;
  const before = text.slice(Math.max(start, offset - 200), offset);
  const unit = /^\[[\w.]{1,20}\]/.exec(text.slice(offset, offset + 30))?.[0];
  const amount = /(?:[-+.\d]+ +to +)?[-+.\d]+ +$/.exec(before)?.[0];
  if (unit === undefined || amount === undefined || !/[{[,]/.test(before)) return undefined;
  return `Inside braces or brackets a quantity with such a unit needs quotes: '${amount}${unit}'.`;
}
