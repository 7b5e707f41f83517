import type { Answer } from '../../refusal.js';
import { bandOf, type SpeedGroup } from '../sensitometry/speed.js';

/**
 * Exposure of one speed group of film in relation to another. Two sources, which differ:
 * - `published-reductions`: F needs 25 % less than E and 60 % less than D (attributed to the FDA; read in a page that
 *   quotes it); it says nothing of C;
 * - `group-bounds`: each group begins at twice the speed of the one before it (ISO bands, see `sensitometry/speed.ts`).
 * The first leaves more exposure on the film when going to a faster one, so a film too light is less likely: it is the
 * default. Two films of one group may differ nearly twofold: the maker's sheet decides, and a test exposure.
 */
export const speedSources = ['published-reductions', 'group-bounds'] as const;
export type SpeedSource = (typeof speedSources)[number];

/** Of an exposure of 1 for E. */
const published: Readonly<Partial<Record<SpeedGroup, number>>> = { F: 1 - 0.25, E: 1, D: (1 - 0.25) / (1 - 0.6) };

/** @returns the factor of time or mA s, from one film to another */
export function speedFactor(
  from: SpeedGroup,
  to: SpeedGroup,
  source: SpeedSource = 'published-reductions',
): Answer<number> {
  if (source === 'group-bounds') return bandOf(from).from / bandOf(to).from;
  const [before, after] = [published[from], published[to]];
  if (before !== undefined && after !== undefined) return after / before;
  const of = before === undefined ? 'from' : 'to';
  return {
    refused: 'not-told',
    of,
    because: `The published reductions say nothing of film of speed ${of === 'from' ? from : to}.`,
  };
}
