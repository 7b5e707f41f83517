/** How long a jurisdiction wants records kept, as far as its text was read. */
export interface RetentionPeriod {
  /** As a site lists it. */
  readonly jurisdiction: string;
  readonly months: number;
  /**
   * Which records: `all` of what a site tells, or one kind of them. A period for one kind binds, but says nothing about
   * the rest, so it never lets a month go.
   */
  readonly records: 'all' | string;
  readonly citation: string;
  readonly url: string;
  /** The edition that was read. */
  readonly shown: string;
}

/**
 * Read so far: one period, for one kind of record. A jurisdiction that is not here has a period that we do not know,
 * and what is not known is kept.
 */
export const retentionPeriods: readonly RetentionPeriod[] = [
  {
    jurisdiction: 'us-wa',
    months: 12,
    records: 'the posted log of chemical changes in manual processing',
    citation: 'WAC 246-225A-090',
    url: 'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm',
    shown: '2023 code archive',
  },
];
