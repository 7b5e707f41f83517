/**
 * Texts that a tenant could send as a pack, to make its reading slow, large or wrong: what the caps of docs/errors.md
 * are for. `npm run bench:rules` prints how long each takes; the fuzz tests hold the steps each may cost.
 */
const head =
  'pack: a/b\nversion: 1.0.0\ntitle: T\nauthority: A\nlayer: practice\ncitation: { text: t, read: practice }\n';

const many = (count: number, one: (index: number) => string, between = '\n') =>
  Array.from({ length: count }, (_, index) => one(index)).join(between);

/** A rule with this in place of its words or tests. */
const rule = (more: string, id = 'a') =>
  `  - { id: ${id}, title: T, on: film.processed, about: run, severity: advice, when: { fact: run.films, operator: equal, value: 1 }, ${more} }\n`;
const tests = (events: string) => `say: s, tests: [{ name: n, kind: fires, events: [${events}], expect: [{}] }]`;
const event = (more: string) =>
  `{ film.processed: { at: '2026-03-02T08:00', line: M1, method: manual, count: 1${more} } }`;

export const hostile: readonly (readonly [name: string, text: string])[] = [
  ['1 MB of opening brackets', '['.repeat(1 << 20)],
  ['256 KiB of opening brackets', '['.repeat(1 << 18)],
  ['256 KiB of dashes', '- '.repeat(1 << 17)],
  ['a mapping of 100,000 keys', many(100_000, (at) => `k${at}: 1`)],
  ['a mapping of 4,900 keys', many(4_900, (at) => `k${at}: 1`)],
  ['a mapping of 4,900 keys in a flow', `{ ${many(4_900, (at) => `k${at}: 1`, ', ')} }`],
  [
    'an event with 4,700 unknown fields',
    `${head}checks:\n${rule(tests(event(`, ${many(4_700, (at) => `k${at}: 1`, ', ')}`)))}`,
  ],
  [
    '1,800 events without a time',
    `${head}checks:\n${rule(tests(many(1_800, () => '{ day.opened: { water: true } }', ', ')))}`,
  ],
  [
    '60 messages of 1,300 placeholders',
    `${head}checks:\n${many(60, (at) => rule(`say: '${'{a}'.repeat(1_300)}', tests: []`, `r${at}`), '')}`,
  ],
  [
    '60 messages of 400 limits',
    `${head}checks:\n${many(60, (at) => rule(`say: '${'{limit.x}'.repeat(440)}', tests: []`, `r${at}`), '')}`,
  ],
  [
    '60 messages of 2,000 groups',
    `${head}checks:\n${many(60, (at) => rule(`say: '${'[[]]'.repeat(999)}', tests: []`, `r${at}`), '')}`,
  ],
  [
    '800 limits of one name',
    `${head}limits:\n${many(800, () => '  - { id: a, of: run.films, max: 3, severity: advice }')}`,
  ],
  [
    '800 limits of unknown facts',
    `${head}limits:\n${many(800, (at) => `  - { id: a${at}, of: run.film${at}, max: 3, severity: advic }`)}`,
  ],
  [
    'a chart of 2,800 rows',
    `${head}charts:\n  - { id: c, title: C, answers: l, by: run.films, gives: run.films, rows: [${many(2_800, (at) => `[${at}, 1]`, ', ')}] }`,
  ],
  [
    'a condition of 1,000 leaves',
    `${head}checks:\n${rule('say: s, tests: []').replace('when: {', `when: { any: [${many(1_000, () => '{ fact: run.films, operator: equal, value: 1 }', ', ')}] }, cause: {`)}`,
  ],
  [
    '130 uses of one large condition',
    `${head}checks:\n  - { id: a, title: T, on: film.processed, about: run, severity: advice, say: s, when: &w { any: [${many(35, () => '{ fact: run.films, operator: equal, value: 1 }', ', ')}] }, tests: [] }\n${many(130, (at) => `  - { id: b${at}, title: T, on: day.opened, about: line, severity: advice, say: s, when: *w, tests: [] }`)}`,
  ],
  ['aliases of aliases', `a0: &a0 [x, x]\n${many(40, (at) => `a${at + 1}: &a${at + 1} [*a${at}, *a${at}]`)}`],
  ['500 aliases of a list of 70', `a: &a [${'x, '.repeat(70)}]\nb: [${'*a, '.repeat(499)}]`],
  ['a text of 250,000 letters', `title: ${'x'.repeat(250_000)}`],
  ['250,000 line ends', '\n'.repeat(250_000)],
  ['250,000 comments', '#\n'.repeat(125_000)],
  ['250,000 spaces', `a:${' '.repeat(250_000)}b`],
  ['quotes that never close', `a: "${'\\x'.repeat(20_000)}`],
  ['80,000 escapes in quotes', `a: "${'\\n'.repeat(80_000)}"`],
  ['a folded text of 120,000 lines', `a: >\n${' x\n'.repeat(85_000)}`],
  ['250,000 NUL', '\u0000'.repeat(250_000)],
  ['a number of 250,000 digits', `a: ${'9'.repeat(250_000)}`],
  ['120,000 tags', `a: ${'!a '.repeat(80_000)}`],
  ['60,000 anchors', `a: ${'&a '.repeat(80_000)}`],
];
