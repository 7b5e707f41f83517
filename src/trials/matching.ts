/**
 * Pairs wants with findings, one to one, as many as can be: a want gives its finding up where it fits another.
 *
 * @param fits for each want the numbers of what fits it, best first
 * @returns for each want the number it is paired with, or undefined
 */
export function pairUp(fits: readonly (readonly number[])[]): (number | undefined)[] {
  const takenBy = new Map<number, number>();
  const takes = (want: number, tried: Set<number>): boolean => {
    for (const one of fits[want] ?? []) {
      if (tried.has(one)) continue;
      tried.add(one);
      const other = takenBy.get(one);
      if (other !== undefined && !takes(other, tried)) continue;
      takenBy.set(one, want);
      return true;
    }
    return false;
  };
  for (const want of fits.keys()) takes(want, new Set());
  const pairs: (number | undefined)[] = fits.map(() => undefined);
  for (const [one, want] of takenBy) pairs[want] = one;
  return pairs;
}
