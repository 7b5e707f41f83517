/**
 * How likely a cause makes a sign, from what is said of the pair. Nobody has published such numbers; what is published are
 * tables that list causes under signs. The more of them do that independently, the plainer the sign is taken to be; two
 * tables of one textbook are one voice. Where the trade says how often, its word counts too. Our choice, in docs/causes.md.
 */
export const howOften = { always: 0.9, often: 0.6, sometimes: 0.3, rarely: 0.08 } as const;
export type HowOften = keyof typeof howOften;
export const howOftenWords = Object.keys(howOften) as readonly HowOften[];

/** By the number of independent voices. */
const byVoices = [0, 0.45, 0.6, 0.75] as const;

/** @param voices independent tables that list the pair @param word what the trade says of it @returns a probability */
export function likelihoodOf(voices: number, word?: HowOften): number {
  const listed = byVoices[Math.min(voices, byVoices.length - 1)] ?? 0;
  return Math.max(listed, word === undefined ? 0 : howOften[word]);
}
