import * as library from 'canonicalize';

/** The package is CommonJS whose module is the function; its types describe an ES module. */
const serialize = library.default as unknown as (value: unknown) => string | undefined;

/**
 * JSON Canonicalization Scheme, RFC 8785: equal content, equal text. Keys are sorted; absent and undefined fields are
 * alike.
 */
export function canonicalJson(value: unknown): string {
  return serialize(value) ?? 'null';
}
