/** Plain text that fits a terminal: wrapped paragraphs and aligned columns, nothing else. */

/** Where the demo prints; a terminal, a file, or a test. */
export interface Out {
  write(text: string): unknown;
  readonly isTTY?: boolean;
  readonly columns?: number;
}

/** Room for text: what the terminal has, between 60 and 96 columns. */
export function widthOf(out: Out): number {
  return Math.max(60, Math.min(96, (out.columns ?? 88) - 2));
}

/** Breaks at spaces; a word longer than the line stays whole. */
export function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(/\s+/).filter((one) => one !== '')) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= width) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** A label and its text, the text wrapped beside it: `  What   Strip 3 steps lighter ...`. */
export function labelled(label: string, text: string, width: number, room = 7): string[] {
  return wrap(text, width - room - 2).map((line, index) => `  ${(index === 0 ? label : '').padEnd(room)}${line}`);
}

/** Columns as wide as their widest cell; the first `left` columns flush left, the others flush right. */
export function table(rows: readonly (readonly string[])[], left: number): string[] {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => (row[column] ?? '').length)));
  return rows.map((row) =>
    `  ${row.map((cell, column) => (column < left ? cell.padEnd(widths[column] ?? 0) : cell.padStart(widths[column] ?? 0))).join('  ')}`.trimEnd(),
  );
}

export const thousands = (count: number): string => count.toLocaleString('en-US');
