import { PackBook } from '../../src/packs/book.js';
import type { Pack } from '../../src/packs/model.js';
import { readPack } from '../../src/packs/reader/index.js';
import { shipped } from '../scenarios/stage.js';

/** Packs as an administrator may publish them while sites go on sending: new, changed, ended, in the past and ahead. */

const carried =
  'tests: [{ name: a, kind: fires, events: [], expect: [{}] }, { name: b, kind: silent, events: [] }, { name: c, kind: boundary, events: [], expect: [] }]';

/** The clinic's own: a tighter age, a duty that counts days, a check, between two dates. */
function clinic(from: string | undefined, to: string | undefined, steps: number): Pack {
  const dates = [from && `from: ${from}`, to && `to: ${to}`].filter(Boolean).join('\n');
  const { pack, diagnostics } = readPack(
    `pack: clinic/own
version: 1.0.${steps}
title: Our own
authority: Oracle
citation: { text: our own, read: practice }
layer: practice
${dates}
limits:
  - { id: chemistry-age, of: chemistry.age, for: { method: [manual, automatic] }, max: ${20 + steps} d, severity: standard }
checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: ${steps} }
    clears: passing
    severity: warning
    say: 'Strip {wedge.steps} steps off'
    ${carried}
duties:
  - id: round
    title: Round
    must: { event: day.opened }
    per: line
    for: { method: manual }
    every: ${steps + 4} d
    counts: always
    severity: advice
    say: 'No round'
    ${carried}
`,
    'clinic.yaml',
  );
  if (pack === undefined) throw new Error(JSON.stringify(diagnostics));
  return pack;
}

const without = (...ids: string[]) => shipped.packs.filter(({ id }) => !ids.includes(id));
const ended = (id: string, to: string) => shipped.packs.map((pack) => (pack.id === id ? { ...pack, to } : pack));
/** Another version of a pack, in turn with the first. */
function changed(id: string, on: string, dayBefore: string): Pack[] {
  return ended(id, dayBefore).flatMap((pack) =>
    pack.id === id
      ? [pack, { ...pack, to: undefined, from: on, version: `${pack.version}-next`, rules: pack.rules.slice(1) }]
      : [pack],
  );
}

/** What may be in force for a process; a history is told between the first days of January and the middle of April 2026. */
export const books: readonly PackBook[] = [
  shipped,
  new PackBook([...shipped.packs, clinic(undefined, undefined, 1)]),
  new PackBook([...shipped.packs, clinic('2026-01-20', '2026-02-10', 1)]),
  new PackBook([...shipped.packs, clinic('2026-03-01', undefined, 2)]),
  new PackBook([...shipped.packs, clinic('2026-04-20', undefined, 2)]),
  new PackBook([...without('common/chemistry-age'), clinic('2026-02-01', '2026-02-01', 0)]),
  new PackBook(ended('common/wedge', '2026-02-14')),
  new PackBook(changed('common/chemistry-age', '2026-02-20', '2026-02-19')),
];
