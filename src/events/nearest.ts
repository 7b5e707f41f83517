import { distance } from 'fastest-levenshtein';

/**
 * The known name nearest to what somebody wrote, ignoring case; undefined when none is near enough to be what was
 * meant: more than a third of the letters differ, they are not the same letters in another order, and the known name does
 * not begin with what was written.
 */
export function nearest(written: string, known: Iterable<string>): string | undefined {
  if (written.length === 0 || written.length > 64) return undefined;
  const word = written.toLowerCase();
  let best: string | undefined;
  let least = Infinity;
  for (const name of known) {
    const candidate = name.toLowerCase();
    const edits = distance(word, candidate);
    const starts = word.length >= 3 && candidate.startsWith(word);
    const near =
      edits <= Math.max(1, Math.floor(Math.max(word.length, candidate.length) / 3)) ||
      starts ||
      (word.length === candidate.length && letters(word) === letters(candidate));
    if (near && edits < least) [best, least] = [name, edits];
  }
  return best;
}

const letters = (word: string): string => [...word].sort().join('');
