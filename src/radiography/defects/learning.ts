/** How much the published shares weigh against what was confirmed, in confirmed causes. Our choice; see docs/causes.md. */
export const publishedWeight = 20;

/** What was confirmed half a year ago counts half: baths, people and units change. Our choice. */
export const halfLifeDays = 182;

/** A weight after some days. @param days 0 or more; before that it has its full weight */
export const decayed = (weight: number, days: number) => weight * 0.5 ** (Math.max(0, days) / halfLifeDays);

/**
 * Published priors, moved by what was confirmed: causes share one whole by a Dirichlet distribution, whose mean is
 * (weight of the published share + confirmed) / (all weight + all confirmed). How often films have any cause at all stays
 * as published: confirmed causes tell which one it was, not how many films are good.
 *
 * @param priors published probabilities by cause @param confirmed weights by cause, 0 or more; others count nothing
 * @returns the same object where nothing was confirmed
 */
export function moved(
  priors: ReadonlyMap<string, number>,
  confirmed: ReadonlyMap<string, number>,
  weight = publishedWeight,
): ReadonlyMap<string, number> {
  const told = [...confirmed].filter(([cause, count]) => count > 0 && priors.has(cause));
  if (told.length === 0) return priors;
  const whole = [...priors.values()].reduce((sum, prior) => sum + prior, 0);
  if (whole <= 0) return priors;
  const all = told.reduce((sum, [, count]) => sum + count, 0);
  const counts = new Map(told);
  return new Map(
    [...priors].map(([cause, prior]) => {
      const share = (weight * (prior / whole) + (counts.get(cause) ?? 0)) / (weight + all);
      return [cause, Math.min(mostCommon, whole * share)];
    }),
  );
}

/** No cause is taken for granted. */
const mostCommon = 0.5;
