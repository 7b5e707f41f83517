import { describe, expect, test } from '@jest/globals';
import { severities, type Citation, type Severity } from '../../src/packs/model.js';
import { rules } from './office.js';

/**
 * How each source that the shipped packs cite was seen. `law` and `standard` rest on a text that was read; nothing from a
 * summary, a draft or a doubtful copy may carry them. Where no official copy was found, the pack says that it cites a copy.
 */
interface Source {
  readonly what: 'regulation' | 'teaching' | 'manual';
  /** `text`: what the pack says was displayed and read; `located`: the source was found, its paragraphs were not displayed. */
  readonly seen: 'text' | 'summary' | 'located';
  readonly publisher: 'official' | 'copy';
  /** Rows (F) of a printed table at which the copy is doubtful. */
  readonly doubtful?: readonly number[];
}

const sources: Readonly<Record<string, Source>> = {
  'https://lawfilesext.leg.wa.gov/law/WACArchive/2023/htm/WAC%20246%20%20TITLE/WAC%20246%20-225A%20CHAPTER/WAC%20246%20-225A-090.htm':
    { what: 'regulation', seen: 'text', publisher: 'official' },
  'https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150': {
    what: 'regulation',
    seen: 'text',
    publisher: 'copy',
  },
  'https://www.revisor.mn.gov/rules/4732.0550/': { what: 'regulation', seen: 'text', publisher: 'official' },
  'https://d1tvxue8o4w0fl.cloudfront.net/regulation/minnesota-administrative-rules/agency-144-health-department/chapter-4732-ionizing-radiation/radiation-safety-requirements/part-47320555-x-ray-film-processing-requirements':
    { what: 'regulation', seen: 'text', publisher: 'copy' },
  // 22 times are printed for 21 temperatures: the top rows look shifted by one.
  'http://print.casetext.com/regulation/new-mexico-administrative-code/title-20-environmental-protection/chapter-3-radiation-protection/part-6-x-rays-in-healing-arts/section-2036612-appendix-c-x-ray-film-developing':
    { what: 'regulation', seen: 'text', publisher: 'copy', doubtful: [77, 79] },
  'https://regulations.justia.com/states/new-mexico/title-20/chapter-3/part-6/section-20-3-6-602': {
    what: 'regulation',
    seen: 'text',
    publisher: 'copy',
  },
  'http://edocket.access.gpo.gov/cfr_2001/aprqtr/21cfr1020.30.htm': {
    what: 'regulation',
    seen: 'located',
    publisher: 'official',
  },
  'https://ecampusontario.pressbooks.pub/de115radiography/?p=590': {
    what: 'teaching',
    seen: 'text',
    publisher: 'official',
  },
  'https://metdental.ecepartners.com/courses/1896/HTML/Radiographic_Quality_Assurance_for_Film_Imaging_Systems_7th_Ed/2.html':
    { what: 'teaching', seen: 'text', publisher: 'official' },
  'http://www.ehs.washington.edu/rsotrain/dental/image_quality.shtm': {
    what: 'teaching',
    seen: 'text',
    publisher: 'official',
  },
  // Notes on general radiography that quote others: the number was read, what it rests on was not.
  'https://www.scribd.com/document/505238518/rdtl210-021121-notes': {
    what: 'teaching',
    seen: 'summary',
    publisher: 'copy',
  },
  'https://www.psm.sdcep.org.uk/topics/radiation-protection/quality-assurance/quality-assurance-of-clinical-image-quality':
    { what: 'teaching', seen: 'text', publisher: 'official' },
  // Of mammography: borrowed, and no limit of dental film anywhere.
  'https://www.fda.gov/Radiation-EmittingProducts/MammographyQualityStandardsActandProgram/Guidance/PolicyGuidanceHelpSystem/ucm052756.htm':
    { what: 'regulation', seen: 'text', publisher: 'official' },
  'http://armymedical.tpub.com/MD0954/Storage-Precautions-X-Ray-Film-Processing-18.htm': {
    what: 'manual',
    seen: 'text',
    publisher: 'copy',
  },
  'https://photographytraining.tpub.com/14209/css/Life-Of-A-Fixing-Bath-249.htm': {
    what: 'manual',
    seen: 'text',
    publisher: 'copy',
  },
};

interface Claim {
  readonly of: string;
  readonly severity: Severity | undefined;
  readonly citation: Citation;
}

/** Everything in the packs that cites somebody, with the severity that rests on it. */
const claims: readonly Claim[] = rules.flatMap((pack) => [
  ...pack.limits.map(({ id, severity, citation }): Claim => ({ of: `${pack.id} limit ${id}`, severity, citation })),
  ...pack.rules.map(({ id, severity, citation }): Claim => ({ of: id, severity, citation })),
  ...pack.charts.map(({ id, citation }): Claim => ({ of: id, severity: undefined, citation })),
  ...pack.notKnown.map(({ topic, citation }): Claim => ({ of: `${pack.id}: ${topic}`, severity: undefined, citation })),
]);
const named = claims.map((claim) => [claim.of, claim] as const);

describe('a citation says how its source was seen', () => {
  test.each(named)('%s', (_, { citation }) => {
    if (citation.url === undefined) {
      expect(citation.read).toBe('practice');
      return;
    }
    const source = sources[citation.url];
    if (source === undefined) throw new Error(`${citation.url} is not in the table: how was it seen?`);
    if (source.seen !== 'text') expect(['summary', 'practice']).toContain(citation.read);
    if (source.publisher === 'copy') expect(citation.note ?? '').toMatch(/\bcopy\b/);
  });
});

test('severities above warning rest on a text that was read, or say that they are common practice; law on a regulation only', () => {
  const atLeast = (severity: Severity | undefined, least: Severity) =>
    severity !== undefined && severities.indexOf(severity) >= severities.indexOf(least);
  const resting = claims.filter(({ severity }) => atLeast(severity, 'standard'));
  expect(resting.length).toBeGreaterThan(15);
  const unfounded = resting.filter(({ severity, citation: { read, url } }) => {
    const source = url === undefined ? undefined : sources[url];
    if (severity === 'law') return read !== 'text' || source?.what !== 'regulation' || source.seen !== 'text';
    return read === 'practice' ? url !== undefined : read !== 'text' || source?.seen !== 'text';
  });
  expect(unfounded.map(({ of }) => of)).toEqual([]);
});

test('a chart from a doubtful copy gives no answer at its doubtful rows', () => {
  const doubted = rules
    .flatMap(({ charts }) => charts)
    .filter(({ citation }) => sources[citation.url ?? '']?.doubtful !== undefined);
  expect(doubted.map(({ id }) => id)).toEqual(['us-nm/manual-chart']);
  for (const { rows, doubtful, citation } of doubted) {
    const inCel = (sources[citation.url ?? '']?.doubtful ?? []).map((fahrenheit) => ((fahrenheit - 32) * 5) / 9);
    inCel.forEach((key, at) => expect(doubtful[at]).toBeCloseTo(key, 9));
    for (const key of inCel) expect(rows.some((row) => Math.abs(row.key - key) < 1e-6)).toBe(false);
  }
});

test('every source of the table is cited', () => {
  const cited = new Set(claims.map(({ citation }) => citation.url));
  expect(Object.keys(sources).filter((url) => !cited.has(url))).toEqual([]);
});
