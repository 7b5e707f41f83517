import { readFile, writeFile } from 'node:fs/promises';
import { expect, test } from '@jest/globals';
import fc from 'fast-check';
import { season } from '../../src/cli/demo/season.js';
import { createState, step } from '../../src/engine/fold.js';
import { engineVersion } from '../../src/engine/version.js';
import type { AnyEvent } from '../../src/events/event.js';
import { effective } from '../../src/trials/fold-site.js';
import { histories } from '../oracle/histories.js';
import { decoded, shipped } from '../scenarios/stage.js';

/** The shape as it was written down, and the version of the engine that had it. */
const file = new URL('state-shape.json', import.meta.url);

/** Records whose keys are names that people or packs give. */
const named = new Set([
  'lines',
  'tubes',
  'instruments',
  'lots',
  'baths',
  'duties',
  'findings',
  'spells',
  'uneased',
  'unevaluable',
  'dropped',
  'series',
  'cells',
]);

/** Adds the path and type of everything in a value: `lines.*.baths.*.fill.day: string`. */
function describeShape(value: unknown, path: string, shape: Set<string>): void {
  if (value === null || typeof value !== 'object') {
    if (value !== undefined) shape.add(`${path}: ${value === null ? 'null' : typeof value}`);
  } else if (Array.isArray(value)) {
    for (const each of value) describeShape(each, path === 'finding' ? path : `${path}[]`, shape);
  } else {
    const anyName = named.has(path.slice(path.lastIndexOf('.') + 1));
    for (const [key, each] of Object.entries(value)) {
      // What facts a rule reads and who is cited is the packs' affair.
      if (key === 'facts' || key === 'citation') continue;
      const deeper = path === 'state.findings' || key === 'closed' ? 'finding' : `${path}.${anyName ? '*' : key}`;
      describeShape(each, deeper, shape);
    }
  }
}

/** Of the states on the way through a season of four offices, and through histories that hold every kind of event. */
function shapeOfStates(): string[] {
  const { events } = season(1);
  const sites = [...new Set(events.map(({ site }) => site))];
  const ledgers: AnyEvent[][] = sites.map((one) => events.filter(({ site }) => site === one).map(decoded));
  for (const history of fc.sample(histories(), { seed: 1, numRuns: 40 })) ledgers.push(history.events.map(decoded));
  const shape = new Set<string>();
  for (const ledger of ledgers) {
    const state = createState();
    effective(ledger).forEach((event, index) => {
      step(state, event, shipped);
      if (index % 25 === 24) describeShape(state, 'state', shape);
    });
    describeShape(state, 'state', shape);
  }
  return [...shape].sort();
}

test('the stored state has the shape that belongs to the version of the engine', async () => {
  const present = { version: engineVersion, shape: shapeOfStates() };
  if (process.env['STEPWEDGE_SHAPE'] === 'write') await writeFile(file, `${JSON.stringify(present, null, 2)}\n`);
  const written = JSON.parse(await readFile(file, 'utf8')) as typeof present;
  const differences = {
    added: present.shape.filter((line) => !written.shape.includes(line)),
    removed: written.shape.filter((line) => !present.shape.includes(line)),
  };
  const changed = differences.added.length + differences.removed.length > 0;
  const how = `write the shape down with STEPWEDGE_SHAPE=write npm test -- tests/engine/version`;
  let advice = '';
  if (changed && written.version === engineVersion)
    advice = `The state has another shape: sites would go on from states of the old one. Raise engineVersion in src/engine/version.ts to ${engineVersion + 1}, then ${how}. (If only what this test tells has changed, write it down.)`;
  else if (changed || written.version !== engineVersion) advice = `The version was raised: ${how}.`;
  expect({ advice, ...differences }).toEqual({ advice: '', added: [], removed: [] });
}, 120_000);
