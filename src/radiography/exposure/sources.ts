/** Where a rule of exposure was read. `practice`: taught everywhere, but read in no source that could be cited, so no check. */
export interface ExposureSource {
  readonly text: string;
  readonly url?: string;
  readonly read: 'summary' | 'practice';
}

/** Of each step of a conversion, by the rule that was taken. */
export const exposureSources = {
  distance: {
    text: 'inverse square of the distance from target to film, as asked of dental assistants',
    url: 'https://danb-radiationhealthandsafetyfourhundredquestions.examzify.com/question/when-the-target-source-film-b83ee879ad427cf2',
    read: 'summary',
  },
  current: {
    text: 'reciprocity of current and time, cards on radiography',
    url: 'https://api.brainscape.com/flashcards/chapter-11-16487855/packs/21764393',
    read: 'summary',
  },
  '15-kVp': {
    text: 'rule of thumb of dental textbooks: 15 kV more, half the time; common practice, no source read',
    read: 'practice',
  },
  '15-percent': {
    text: 'rule of thumb of general radiography: 15 percent more kV, half the time; common practice, no source read',
    read: 'practice',
  },
  'published-reductions': {
    text: 'F-speed film needs 25 % less than E and 60 % less than D, a page that quotes the FDA',
    url: 'https://education-academia.github.io/clinical-medicine/medicine/radiology/for-intraoral-x-rays-what-film-speed-is-the-fastest-and-reduces-the-amount-of-patient-exposure-to-radiation.html',
    read: 'summary',
  },
  'group-bounds': {
    text: 'lower bounds of the speed groups, a dental journal online',
    url: 'http://www.priory.com/den/films.htm',
    read: 'summary',
  },
} as const satisfies Record<string, ExposureSource>;
