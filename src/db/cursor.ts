/** A cursor that is not one of ours; the message says so to the caller. */
export class CursorError extends Error {
  override readonly name = 'CursorError';
}

/** Where a list goes on: opaque to callers, the key of the last row they saw to us. */
export function writeCursor(key: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(key)).toString('base64url');
}

/** @throws CursorError unless the cursor holds values of these kinds. */
export function readCursor(cursor: string, kinds: readonly ('string' | 'number')[]): (string | number)[] {
  let key: unknown;
  try {
    key = JSON.parse(Buffer.from(cursor, 'base64url').toString());
  } catch {
    key = undefined;
  }
  // Numbers go into bigint columns, and no text of ours has a NUL.
  const fits = (part: unknown, kind: string | undefined): boolean =>
    typeof part === kind && (typeof part === 'number' ? Number.isSafeInteger(part) : isStorable(String(part)));
  if (!Array.isArray(key) || key.length !== kinds.length || !key.every((part, index) => fits(part, kinds[index]))) {
    throw new CursorError('The cursor is not one of ours: send `next` exactly as it came, with the same filters.');
  }
  return key as (string | number)[];
}

/** What PostgreSQL cannot hold equals nothing that is stored; asked for it, it would answer with an error. */
function isStorable(text: string): boolean {
  return !/[\0\p{Cs}]/u.test(text);
}

/**
 * Conditions of a list, only those that were asked for: a statement with every filter optional inside it would keep
 * PostgreSQL from choosing an index for the ones that are there.
 */
export class Conditions {
  readonly values: unknown[] = [];
  readonly #texts: string[] = [];

  constructor(organisation: string) {
    this.add('organisation = ?', organisation);
  }

  /** `text` has a `?` for each value; nothing happens when the first value is undefined. */
  add(text: string, ...values: readonly unknown[]): this {
    if (values[0] === undefined) return this;
    if (values.some((value) => typeof value === 'string' && !isStorable(value))) {
      this.#texts.push('false');
      return this;
    }
    let next = this.values.length;
    this.values.push(...values);
    this.#texts.push(text.replace(/\?/g, () => `$${++next}`));
    return this;
  }

  /** A list as one JSON value: an empty one finds nothing. */
  among(column: string, values: readonly string[] | undefined): this {
    const json = values === undefined ? undefined : JSON.stringify(values.filter(isStorable));
    return this.add(`${column} = any (array(select jsonb_array_elements_text(?::text::jsonb)))`, json);
  }

  /** Binds a value for use outside the conditions. @returns its placeholder. */
  bind(value: unknown): string {
    this.values.push(value);
    return `$${this.values.length}`;
  }

  get text(): string {
    return this.#texts.join(' and ');
  }
}

export interface Paging {
  /** Rows wanted. */
  readonly limit: number;
  readonly cursor?: string | undefined;
}

/** `next` is absent on the last page. */
export interface Page<Item> {
  readonly items: readonly Item[];
  readonly next?: string | undefined;
}

/** A page out of `limit + 1` rows: the one too many shows that there are more. */
export function pageOf<Row, Item>(
  rows: readonly Row[],
  limit: number,
  item: (row: Row) => Item,
  key: (row: Row) => readonly (string | number)[],
): Page<Item> {
  const shown = rows.slice(0, limit);
  const last = shown.at(-1);
  const more = rows.length > limit && last !== undefined;
  return { items: shown.map(item), ...(more ? { next: writeCursor(key(last)) } : {}) };
}
