import { expect, test } from '@jest/globals';
import { factReaders } from '../../src/engine/facts/index.js';
import { facts } from '../../src/packs/facts.js';
import { eventTypes } from '../../src/events/catalogue.js';

test('every fact of the catalogue has a reader, and every reader a catalogue entry', () => {
  expect([...factReaders.keys()].sort()).toEqual([...facts.keys()].sort());
});

test('every fact names events that feed it', () => {
  for (const { name, fedBy } of facts.values()) {
    expect([name, fedBy.length > 0]).toEqual([name, true]);
    for (const type of fedBy) expect(eventTypes).toContain(type);
  }
});
