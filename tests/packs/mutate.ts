import { parse, stringify } from 'yaml';

/** Packs with something done to them: to their letters, to their lines, or to what they say. */

export type Random = () => number;

/** mulberry32: the same numbers for the same seed, everywhere. */
export function random(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const below = (next: Random, end: number) => Math.floor(next() * end);
const pick = <T>(next: Random, list: readonly T[]): T => list[below(next, list.length)] as T;

const pieces = [
  ...[
    '[',
    ']',
    '{',
    '}',
    ': ',
    '- ',
    ', ',
    '"',
    "'",
    '#',
    '|',
    '>',
    '?',
    '!',
    '%',
    '@',
    '`',
    '\t',
    '  ',
    '\n',
    '\r\n',
    '\r',
  ],
  ...[
    '&a ',
    '*a',
    '*tests',
    '&tests ',
    '<<: *a',
    '!!binary ',
    '!!set ',
    '!foo ',
    '!<tag:x> ',
    '---\n',
    '...\n',
    '%YAML 1.2\n',
  ],
  ...[
    'null',
    '~',
    'true',
    '-1',
    '0',
    '.inf',
    '-.inf',
    '.nan',
    '1e999',
    '1e-999',
    '0x1F',
    '0o17',
    '9'.repeat(400),
    '1_000',
  ],
  ...['\u0000', '\ufeff', '\u2028', '\ud800', '\u202e', 'é', '\u{1f9b7}', '\u0007', '\u00a0', 'e\u0301'],
  ...[
    '__proto__',
    'constructor',
    'prototype',
    'toString',
    '{__proto__}',
    '{limit.constructor}',
    '[[',
    ']]',
    '{count|a}',
    '{',
  ],
  ...[
    '2026-02-30',
    '2026-13-01T25:00',
    '9999-12-31T23:59',
    '0000-01-01',
    '99999 mo',
    '0 d',
    '76 [degF]',
    '1e308 min',
    '5 parsec',
  ],
  ...['$.facts', '(a+)+$', '=1+1', '${process.exit(1)}', 'a'.repeat(5_000), 'x '.repeat(300)],
];

const values: readonly (() => unknown)[] = [
  ...pieces.map((piece) => () => piece),
  ...[null, true, false, 0, -1, 0.1, 1e21, 2 ** 53, -0, 1e308].map((value) => () => value),
  () => [],
  () => ({}),
  () => [[], {}, [null]],
  () => ({ ['__proto__']: { polluted: true } }),
  () => Object.defineProperty({}, '__proto__', { value: 1, enumerable: true, configurable: true, writable: true }),
  () => nested(70, 'all'),
  () => nested(20, 'not'),
  () => Array.from({ length: 600 }, (_, at) => at),
  () => ({ fact: 'run.films', operator: 'equal', value: 1 }),
  () => ({ any: [{ fact: 'run.developer.time', operator: 'below', value: { limit: 'development-time-min' } }] }),
  () => ({ value: 76, unit: '[degF]' }),
  () => ({ chart: 'a/b', plus: '30 s' }),
];

function nested(depth: number, key: string): unknown {
  let value: unknown = { fact: 'run.films', operator: 'equal', value: 1 };
  for (let level = 0; level < depth; level++) value = { [key]: key === 'not' ? value : [value] };
  return value;
}

/** Mostly once: of several mutations one is sure to be told, and hides what the others would do. */
const howOften = (next: Random) => (next() < 0.6 ? 1 : 1 + below(next, 4));

/** One to four mutations of a text's letters and lines. */
export function mutateText(text: string, next: Random): string {
  let mutated = text;
  for (let times = howOften(next); times > 0; times--) mutated = pick(next, ofText)(mutated, next);
  return mutated;
}

const ofText: readonly ((text: string, next: Random) => string)[] = [
  (text, next) => spliced(text, below(next, text.length + 1), 0, pick(next, pieces)),
  (text, next) => spliced(text, below(next, text.length + 1), below(next, 12), ''),
  (text, next) => spliced(text, below(next, text.length + 1), below(next, 6), pick(next, pieces)),
  (text, next) => spliced(text, below(next, text.length + 1), 1, String.fromCharCode(below(next, 256))),
  (text, next) => spliced(text, below(next, text.length + 1), 1, String.fromCharCode(below(next, 0x10000))),
  (text, next) => text.slice(0, below(next, text.length + 1)),
  // A number becomes another, a unit another.
  (text, next) =>
    text.replaceAll(
      pick(next, text.match(/\d+(\.\d+)?/g) ?? ['1']),
      pick(next, ['0', '-1', '1e400', '99999999999999999999', '1.5']),
    ),
  (text, next) =>
    text.replace(
      pick(next, text.match(/[a-z][\w.-]{2,}/g) ?? ['a']),
      pick(next, text.match(/[a-z][\w.-]{2,}/g) ?? ['a']),
    ),
  (text, next) => onLines(text, (lines) => lines.splice(below(next, lines.length), 1 + below(next, 3))),
  (text, next) =>
    onLines(text, (lines) => lines.splice(below(next, lines.length), 0, ...lines.slice(0, below(next, 12)))),
  (text, next) =>
    onLines(text, (lines) => {
      const [from, to] = [below(next, lines.length), below(next, lines.length)];
      [lines[from], lines[to]] = [lines[to] ?? '', lines[from] ?? ''];
    }),
  (text, next) =>
    onLines(text, (lines) => {
      const from = below(next, lines.length);
      const shift = pick(next, [' ', '  ', '\t', '    ']);
      for (let at = from; at < from + 1 + below(next, 5) && at < lines.length; at++)
        lines[at] = next() < 0.5 ? shift + (lines[at] ?? '') : (lines[at] ?? '').replace(/^ {1,2}/, '');
    }),
  (text, next) => {
    const from = below(next, text.length);
    return spliced(text, from, 0, text.slice(from, from + below(next, 400)).repeat(1 + below(next, 8)));
  },
];

function spliced(text: string, at: number, cut: number, put: string): string {
  return text.slice(0, at) + put + text.slice(at + cut);
}

function onLines(text: string, change: (lines: string[]) => void): string {
  const lines = text.split('\n');
  change(lines);
  return lines.join('\n');
}

const trees = new Map<string, unknown>();

function treeOf(text: string): unknown {
  let tree = trees.get(text);
  if (tree === undefined) {
    try {
      tree = parse(text);
    } catch {
      return undefined;
    }
    trees.set(text, tree);
  }
  return structuredClone(tree);
}

/** One to four mutations of what a pack says; undefined when its text cannot be parsed at all. */
export function mutateTree(text: string, next: Random): string | undefined {
  let tree = treeOf(text);
  if (tree === undefined) return undefined;
  for (let times = howOften(next); times > 0; times--) tree = mutated(tree, next);
  // Without aliases: a value that stands twice is written twice.
  return next() < 0.85
    ? JSON.stringify(tree, undefined, next() < 0.5 ? 1 : 0)
    : stringify(tree, { aliasDuplicateObjects: next() < 0.5 });
}

interface Place {
  readonly holder: Record<string, unknown>;
  readonly key: string;
}

/** Every place of a value in its lists and mappings. */
function placesOf(value: unknown, places: Place[] = []): Place[] {
  if (typeof value !== 'object' || value === null) return places;
  for (const key of Object.keys(value)) {
    const holder = value as Record<string, unknown>;
    places.push({ holder, key });
    placesOf(holder[key], places);
  }
  return places;
}

function mutated(tree: unknown, next: Random): unknown {
  const places = placesOf(tree);
  if (places.length === 0 || next() < 0.01) return pick(next, values)();
  const { holder, key } = pick(next, places);
  const other = pick(next, places);
  const put = (at: Place, value: unknown) => {
    if (Array.isArray(at.holder)) at.holder[Number(at.key)] = value;
    else Object.defineProperty(at.holder, at.key, { value, enumerable: true, configurable: true, writable: true });
  };
  const here = { holder, key };
  switch (below(next, 7)) {
    case 0:
      put(here, pick(next, values)());
      break;
    case 1:
      put(here, structuredClone(other.holder[other.key]));
      break;
    case 2: {
      const [mine, theirs] = [structuredClone(holder[key]), structuredClone(other.holder[other.key])];
      put(here, theirs);
      put(other, mine);
      break;
    }
    case 3:
      if (Array.isArray(holder)) holder.splice(Number(key), 1);
      else delete holder[key];
      break;
    case 4:
      if (Array.isArray(holder)) holder.push(structuredClone(holder[Number(key)]));
      else
        put(
          { holder, key: pick(next, [other.key, '__proto__', 'constructor', 'fact', 'all', 'not', 'path', 'limit']) },
          structuredClone(holder[key]),
        );
      break;
    case 5:
      put(here, [structuredClone(holder[key])]);
      break;
    default:
      if (typeof holder[key] === 'number') put(here, holder[key] * pick(next, [-1, 0, 0.5, 2, 10, 1e9]));
      else if (typeof holder[key] === 'string') put(here, mutateText(holder[key], next).slice(0, 5_000));
      else put(here, pick(next, values)());
  }
  return tree;
}
