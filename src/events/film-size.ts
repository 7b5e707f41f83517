/**
 * Film sizes and their edges in mm. Intraoral sizes 0 to 4 as listed at
 * https://www.juniordentist.com/types-and-sizes-of-xray-films.html; sheets have the edges they are sold by: `panoramic`
 * is 15 x 30 cm (about 35 films of size 2 in area), `cephalometric` 8 x 10 in.
 */
const edges = {
  '0': [22, 35],
  '1': [24, 40],
  '2': [31, 41],
  '3': [27, 54],
  '4': [57, 76],
  panoramic: [150, 300],
  panoramic5x12in: [127, 304.8],
  cephalometric: [203.2, 254],
  cephalometric18x24cm: [180, 240],
} as const satisfies Record<string, readonly [number, number]>;

export type FilmSize = keyof typeof edges;
export const filmSizes = Object.keys(edges) as [FilmSize, ...FilmSize[]];

/** Area of one side of a film, mm2. */
export function filmArea(size: FilmSize): number {
  const [width, height] = edges[size];
  return width * height;
}
