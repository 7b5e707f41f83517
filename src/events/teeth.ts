import { z } from 'zod';

/**
 * Teeth. Inside they are two digits of ISO 3950 (quadrant, then place from the midline; 5 to 8 for primary quadrants);
 * at the edge the universal notation is accepted too: 1 to 32 from the upper right third molar round to the lower
 * right one, A to T for primary teeth. ISO 3950:2016, https://www.iso.org/standard/68292.html
 */
const run = (quadrant: number, from: number, to: number): string[] => {
  const step = from < to ? 1 : -1;
  return Array.from({ length: Math.abs(to - from) + 1 }, (_, at) => `${quadrant}${from + at * step}`);
};
/** In the order that the universal notation counts. */
const permanent = [...run(1, 8, 1), ...run(2, 1, 8), ...run(3, 8, 1), ...run(4, 1, 8)];
const primary = [...run(5, 5, 1), ...run(6, 1, 5), ...run(7, 5, 1), ...run(8, 1, 5)];

const universalToIso = new Map<string, string>([
  ...permanent.map((tooth, at): [string, string] => [String(at + 1), tooth]),
  ...primary.map((tooth, at): [string, string] => [String.fromCharCode(65 + at), tooth]),
]);

export const isoTeeth: readonly string[] = [...permanent, ...primary].sort();
export const universalTeeth: readonly string[] = [...universalToIso.keys()];

/** The ISO 3950 tooth for one of the universal notation; undefined when there is none. */
export function isoOfUniversal(tooth: string): string | undefined {
  return universalToIso.get(tooth);
}

const named = (teeth: readonly string[]) =>
  z
    .array(z.enum(teeth as [string, ...string[]]))
    .min(1)
    .max(32);

/** Inside always a list of ISO 3950 teeth. */
export const teeth = z.union([named(isoTeeth), z.strictObject({ universal: named(universalTeeth) })]).meta({
  description: 'Teeth in view: a list in ISO 3950, or { "universal": [...] } in the universal notation.',
  example: ['36'],
});
