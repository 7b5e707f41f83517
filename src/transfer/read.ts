import { nearest } from '../events/nearest.js';
import { Account, countedKinds, type Counts } from './account.js';
import { atLine, TransferError } from './error.js';
import { format, kinds, type Kind, type Line, lineSchemas } from './lines.js';
import { Seal } from './seal.js';

export interface ReadLine {
  /** From 1. */
  readonly number: number;
  /** As it stands in the file. */
  readonly text: string;
  readonly line: Line;
}

const longest = 64 * 1024 * 1024;

/**
 * The lines of an organisation's file, one at a time, from its header to its end.
 * @throws TransferError at the first line at fault: what was read before is not to be kept either.
 */
export async function* readLines(chunks: AsyncIterable<Buffer>): AsyncGenerator<ReadLine> {
  const seal = new Seal();
  const account = new Account();
  let number = 0;
  let ended = false;
  for await (const bytes of split(chunks)) {
    number += 1;
    if (ended) throw atLine(number, 'nothing may follow the line that ends the file');
    const text = bytes.toString();
    const value = parse(text);
    if (number === 1) checkHeader(value);
    const { sha256 } = seal;
    if (!seal.accept(bytes))
      throw atLine(number, 'it is not what was written there: the file was changed or damaged at this line');
    const line = shaped(value, number);
    if ((line.kind === 'header') !== (number === 1)) throw atLine(number, 'a file has one header, as its first line');
    if ((line.kind === 'organisation') !== (number === 2))
      throw atLine(number, 'a file has one line of the organisation, as its second');
    const fault = account.add(line);
    if (fault !== undefined) throw atLine(number, fault);
    if (line.kind === 'end') {
      ended = true;
      checkEnd(line, number, sha256, account.counts);
    }
    yield { number, text, line };
  }
  if (number === 0) throw new TransferError('the file is empty');
  if (!ended) throw atLine(number, 'the file ends here, without its last line: it is not complete');
}

/** By line breaks alone, and bytes: a string may hold other characters that break lines. */
async function* split(chunks: AsyncIterable<Buffer>): AsyncGenerator<Buffer> {
  let parts: Buffer[] = [];
  let length = 0;
  let number = 1;
  for await (const chunk of chunks) {
    let from = 0;
    for (let end = chunk.indexOf(10); end >= 0; end = chunk.indexOf(10, from)) {
      yield Buffer.concat([...parts, chunk.subarray(from, end)]);
      [parts, length, from, number] = [[], 0, end + 1, number + 1];
    }
    parts.push(chunk.subarray(from));
    length += chunk.length - from;
    if (length > longest) throw atLine(number, 'it is longer than any line of such a file');
  }
  if (length > 0) throw atLine(number, 'it is cut off: the file is not complete');
}

/** What is no JSON object is an empty one: the seal, or the kind that it lacks, says the rest. */
function parse(text: string): Record<string, unknown> {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
  } catch {
    return {};
  }
}

/** Before anything else is held against it: another version may be sealed in another way. */
function checkHeader(header: Readonly<Record<string, unknown>>): void {
  if (header['format'] !== format.name) throw atLine(1, 'this is not a file that stepwedge export has written');
  if (header['version'] !== format.version) {
    throw atLine(
      1,
      `the file has version ${String(header['version'])} of its format; this release reads version ${format.version}. ` +
        `It was written by release ${String(header['release'])}`,
    );
  }
}

function shaped({ sum: _, ...fields }: Readonly<Record<string, unknown>>, number: number): Line {
  const kind = String(fields['kind']);
  if (!Object.hasOwn(lineSchemas, kind)) {
    const meant = nearest(kind, kinds);
    throw atLine(number, `kind ${kind} is not known${meant === undefined ? '' : `; nearest: ${meant}`}`);
  }
  const read = lineSchemas[kind as Kind].safeParse(fields);
  // The shapes of the trails' rows are narrower, and their hashes hold them to it.
  if (read.success) return read.data as Line;
  const [issue] = read.error.issues;
  throw atLine(number, `${issue?.path.join('.') || kind}: ${issue?.message ?? 'it is not of this shape'}`);
}

function checkEnd(
  line: Extract<Line, { kind: 'end' }>,
  number: number,
  sha256: string,
  counts: Readonly<Counts>,
): void {
  const wrong = countedKinds.find((kind) => line.counts[kind] !== counts[kind]);
  if (wrong !== undefined)
    throw atLine(number, `it counts ${line.counts[wrong]} lines of kind ${wrong}, but ${counts[wrong]} came before it`);
  if (line.sha256 !== sha256) throw atLine(number, 'its SHA-256 is not that of the lines before it');
}
