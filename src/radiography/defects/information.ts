/**
 * How much a test tells, in bits: that of its outcome about whether what it looks for is at work. A look is taken to see
 * what is there nine times of ten, and to see something that is not there once in ten. Our choice.
 *
 * @param chance that what it looks for is at work, 0 to 1
 */
export function informationOf(chance: number): number {
  const seen = sure * chance + (1 - sure) * (1 - chance);
  return Math.max(0, entropy(seen) - entropy(sure));
}

const sure = 0.9;

const entropy = (chance: number): number =>
  [chance, 1 - chance].reduce((bits, each) => (each > 0 ? bits - each * Math.log2(each) : bits), 0);
