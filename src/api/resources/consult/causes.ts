import { nearest } from '../../../events/nearest.js';
import { causesAt } from '../../../engine/consult/causes.js';
import { filmKnown } from '../../../engine/apply/films.js';
import { caution } from '../../caution.js';
import { operation } from '../../operation.js';
import { causesAnswer, causesBody, causesExample } from '../../schemas/causes.js';
import { rfc3339 } from '../../time.js';
import { causesView } from '../../views/causes.js';
import { groundOf, inUse, invalid, known, type Standing } from './place.js';
import { answered, tidy } from './reckoned.js';

export const consultCauses = operation({
  id: 'consultCauses',
  method: 'post',
  path: '/v1/consult/causes',
  tag: 'Questions',
  summary: 'From what a film shows to why: ranked causes, with evidence from the record',
  description:
    'Ranks the causes that can make the signs: by how often each is met, by the published tables that list it, by what ' +
    'the record of the site says, and by answers to clues. Says what to look at first, what mends each, whether a film made again ' +
    'now would come out better, and how likely it is that nobody knows the cause. Stores nothing. Without `site` signs and answers alone.',
  access: 'findings:read',
  body: { kind: 'json', required: true, schema: causesBody, example: causesExample },
  answers: { 200: { description: 'The answer.', content: { 'application/json': { schema: causesAnswer } } } },
  problems: ['invalid-json', 'invalid-body', 'unsupported-media-type', 'unknown-site'],
  async handle({ key, body, services }) {
    const { site, line, tube, film, signs, notSeen, extent, clues } = body;
    const ground = await groundOf(services, key, body, {});
    inPlace(ground, body);
    const { defects } = ground.book.at(ground.at, ground.state.site ?? { zone: 'UTC', jurisdictions: [] });
    for (const clue of Object.keys(clues ?? {}))
      if (!defects.clues.has(clue)) throw unknownClue(clue, [...defects.clues.keys()]);
    const found = causesAt(ground.state, ground.at, ground.book, { signs, notSeen, extent, film, line, tube, clues });
    if (found === undefined) throw invalid('/site', 'unknown-site', 'is not set up');
    const view = causesView(answered(found), defects, signs);
    const own = line ?? (film === undefined ? undefined : filmKnown(ground.state, film)?.line);
    return { status: 200, body: tidy({ at: rfc3339(ground.at), caution, site, line: own, ...view }) };
  },
});

/** Line, unit and film belong to a site. @throws Problem */
function inPlace(
  { state }: Standing,
  {
    site,
    line,
    tube,
    film,
  }: { site?: string | undefined; line?: string | undefined; tube?: string | undefined; film?: string | undefined },
): void {
  for (const [field, value] of Object.entries({ line, tube, film }))
    if (value !== undefined && site === undefined) throw invalid(`/${field}`, 'combination', 'needs site');
  if (line !== undefined) known(inUse(state.lines), line, '/line');
  if (tube !== undefined) known(inUse(state.tubes), tube, '/tube');
  if (film !== undefined && filmKnown(state, film) === undefined)
    throw invalid(
      '/film',
      'not-allowed',
      'is not among the latest films of this site; leave it out, and name line and unit',
    );
}

function unknownClue(clue: string, all: readonly string[]) {
  const near = nearest(clue, all);
  const message = `is no clue that the packs know${near === undefined ? '' : `; did you mean ${near}?`}`;
  return invalid(`/clues/${clue}`, 'not-allowed', message, near === undefined ? {} : { nearest: near });
}
