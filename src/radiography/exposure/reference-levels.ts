import { atMost } from '../../events/units.js';
import type { Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/**
 * Diagnostic reference levels for one intraoral film, as read. Ireland's is told as entrance dose of an adult, the others
 * say neither; that all are kerma at the end of the cone is how such levels are commonly told, and not printed there. A level is a third quartile of a survey of many
 * offices: an office above it should ask why; it is no limit for a patient, and none of law here.
 */
export interface ReferenceLevel {
  readonly id: string;
  readonly place: string;
  readonly of: string;
  /** mGy at the end of the cone. */
  readonly kerma: number;
  /** Years of the survey, as far as the copy shows them. */
  readonly years?: string;
  readonly source: string;
  readonly url: string;
}

export const referenceLevels: readonly ReferenceLevel[] = [
  {
    id: 'ireland',
    place: 'Ireland',
    of: 'mandibular molar, adult',
    kerma: 2.4,
    source: 'Physica Medica, survey of 33 units',
    url: 'https://iris.nuigalway.ie/live/!W_VA_PUBLICATION.POPUP?LAYOUT=N&OBJECT_ID=2196813',
  },
  {
    id: 'korea',
    place: 'Korea',
    of: 'intraoral film',
    kerma: 3.1,
    source: 'national survey of 102 machines',
    url: 'https://9884.visiontrading-hk.tech/FullText.aspx?id=96771330',
  },
  {
    id: 'uk-2002-2004',
    place: 'United Kingdom',
    of: 'intraoral film',
    kerma: 2.4,
    years: '2002-2004',
    source: 'HPA-RPD-022',
    url: 'https://www.gov.uk/government/publications/dental-x-ray-examinations-in-the-uk-2002-to-2004-a-review',
  },
];

export interface Compared {
  readonly level: ReferenceLevel;
  /** The estimate over the level. */
  readonly ratio: number;
  readonly isWithin: boolean;
}

/** An estimated kerma at the cone's end beside each level. @param kerma mGy */
export function compareWithLevels(kerma: number): Answer<readonly Compared[]> {
  const wrong = notAbove0({ kerma });
  if (wrong !== undefined) return wrong;
  return referenceLevels.map((level) => ({ level, ratio: kerma / level.kerma, isWithin: atMost(kerma, level.kerma) }));
}
