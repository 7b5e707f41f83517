/** New cards a week that an office is asked to look at, at most (holds apart). */
export const mostCardsAWeek = 3;

/** New cards of the rules on trial at one office. */
export interface OfficeCards {
  readonly site: string;
  /** Weeks in which anything was recorded there, from when the packs stand: a silent year must not thin the cards out. */
  readonly weeks: number;
  readonly cards: { readonly before: number; readonly after: number };
  /** Cards that are holds. */
  readonly holds: { readonly before: number; readonly after: number };
}

/** What a change of packs asks of people. */
export interface Attention {
  readonly offices: number;
  /** Weeks with anything recorded, at the office with the most. */
  readonly weeks: number;
  /** A week and an office, over all of them. */
  readonly cardsPerWeek: { readonly before: number; readonly after: number };
  /** The same of holds, which the budget leaves out: patient films wait for a re-test as often as that. */
  readonly holdsPerWeek: { readonly before: number; readonly after: number };
  /** Where most come, a week. */
  readonly busiest?: { readonly site: string; readonly before: number; readonly after: number };
  /** At some office more than three a week, and more than before. */
  readonly overBudget: boolean;
}

/** Sums up offices one after another: pure, and of a size that does not grow with them. */
export function attend(sofar: AttentionSum, { site, weeks: recorded, cards, holds }: OfficeCards): AttentionSum {
  // Less than a week of history shows no rhythm: it is taken for a week.
  const weeks = Math.max(1, recorded);
  const [before, after] = [cards.before / weeks, cards.after / weeks];
  const { busiest } = sofar;
  return {
    offices: sofar.offices + 1,
    weeks: Math.max(sofar.weeks, weeks),
    officeWeeks: sofar.officeWeeks + weeks,
    before: sofar.before + cards.before,
    after: sofar.after + cards.after,
    holdsBefore: sofar.holdsBefore + holds.before,
    holdsAfter: sofar.holdsAfter + holds.after,
    over: sofar.over || (after > mostCardsAWeek && after > before),
    busiest: after > 0 && (busiest === undefined || after > busiest.after) ? { site, before, after } : busiest,
  };
}

export interface AttentionSum {
  readonly offices: number;
  readonly weeks: number;
  readonly officeWeeks: number;
  readonly before: number;
  readonly after: number;
  readonly holdsBefore: number;
  readonly holdsAfter: number;
  readonly over: boolean;
  readonly busiest: Attention['busiest'];
}

export const noOffices: AttentionSum = {
  offices: 0,
  weeks: 0,
  officeWeeks: 0,
  before: 0,
  after: 0,
  holdsBefore: 0,
  holdsAfter: 0,
  over: false,
  busiest: undefined,
};

export function attentionOf(sum: AttentionSum): Attention {
  const { offices, weeks, officeWeeks, before, after, holdsBefore, holdsAfter, over, busiest } = sum;
  const aWeek = (cards: number) => (officeWeeks === 0 ? 0 : round(cards / officeWeeks));
  return {
    offices,
    weeks: round(weeks),
    cardsPerWeek: { before: aWeek(before), after: aWeek(after) },
    holdsPerWeek: { before: aWeek(holdsBefore), after: aWeek(holdsAfter) },
    ...(busiest === undefined
      ? {}
      : { busiest: { site: busiest.site, before: round(busiest.before), after: round(busiest.after) } }),
    overBudget: over,
  };
}

/** The guard of publishing, of whole offices. */
export function attentionFor(offices: Iterable<OfficeCards>): Attention {
  let sum = noOffices;
  for (const office of offices) sum = attend(sum, office);
  return attentionOf(sum);
}

const round = (value: number) => Math.round(value * 100) / 100;
