import type { Moment } from '../moment.js';
import { bathFacts } from './baths.js';
import { exposureFacts } from './exposures.js';
import { filmFacts } from './films.js';
import { followedFacts } from './followed.js';
import { runFacts } from './runs.js';
import { stockFacts } from './stock.js';
import type { FactReader } from './reader.js';
import { testFacts } from './tests.js';

/** One reader for each name of the fact catalogue; a test holds the two sets equal. */
export const factReaders: ReadonlyMap<string, FactReader> = new Map(
  Object.entries({
    ...runFacts,
    ...exposureFacts,
    ...filmFacts,
    ...bathFacts,
    ...testFacts,
    ...stockFacts,
    ...followedFacts,
  }),
);

export function readFact(moment: Moment, name: string): unknown {
  return factReaders.get(name)?.(moment);
}
