import { isMap, isScalar, isSeq } from 'yaml';
import { quoted } from './diagnostic.js';
import { span } from './source.js';
import { fault } from './spot.js';
import type { Reading } from './spot.js';

/** What every object of the language this program is written in has from birth. */
const inborn: ReadonlySet<string> = new Set([...Object.getOwnPropertyNames(Object.prototype), 'prototype']);

/** A name, dotted or with parts by "/"; words of a sentence are none. */
const name = /^[\w$][\w$./-]*$/;
const placeholder = /\{([^{}|]*)[^{}]*\}/g;

/**
 * No key, id, fact, placeholder or word of a selector is one of those names: nothing of a pack may ever be taken for a
 * part of this program. Where something else is wrong at the place already, that says enough.
 */
export function withoutReserved(reading: Reading): void {
  const { source, diagnostics } = reading;
  const told = new Set(diagnostics.map(({ line, column }) => `${line}:${column}`));
  const look = (node: unknown, path: string): void => {
    if (!isScalar(node) || typeof node.value !== 'string') return;
    const word = reservedIn(node.value);
    if (word === undefined) return;
    const { line, column } = span(source.lines, node.range?.[0] ?? 0, node.range?.[1] ?? 0);
    if (told.has(`${line}:${column}`)) return;
    const spot = reading.spot(node, node, path, 'pack');
    fault(spot, 'bad-name', `${quoted(word)} is a word that no name in a pack may be; choose another.`);
  };
  const walk = (node: unknown, path: string): void => {
    if (reading.isFull) return;
    look(node, path);
    if (isSeq(node)) node.items.forEach((item, index) => walk(item, `${path}/${index}`));
    if (!isMap(node)) return;
    for (const { key, value } of node.items) {
      const at = `${path}/${isScalar(key) ? escaped(String(key.value)) : ''}`;
      look(key, at);
      walk(value, at);
    }
  };
  walk(source.root, '');
}

const escaped = (key: string) => key.replace(/~/g, '~0').replace(/\//g, '~1');

/** The first part of a name, or of a placeholder in a text, that is reserved. */
function reservedIn(text: string): string | undefined {
  const names = name.test(text) ? [text] : [...text.matchAll(placeholder)].map(([, inner]) => inner ?? '');
  return names.flatMap((each) => each.split(/[./]/)).find((part) => inborn.has(part));
}
