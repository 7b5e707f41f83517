const sentences = [
  'The dentist decides.',
  'Local code and the maker’s sheet come first.',
  'This reports what lies outside a rule as read; it gives no diagnosis and no legal opinion.',
] as const;

/** Part of every answer that could steer work on a patient. */
export const caution = sentences.join(' ');

/** The same beside what a rule adds of its own; what the rule says already is not said twice. */
export function cautionBeside(own: string | undefined): string {
  if (own === undefined) return caution;
  const begins = (sentence: string) => sentence.split(/[ .]/).slice(0, 3).join(' ');
  return [own, ...sentences.filter((sentence) => !own.includes(begins(sentence)))].join(' ');
}
