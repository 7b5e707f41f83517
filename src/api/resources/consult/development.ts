import { type DevelopmentAnswer, developmentAt } from '../../../engine/consult/development.js';
import type { LineState } from '../../../engine/state.js';
import type * as z from 'zod';
import { caution } from '../../caution.js';
import { operation } from '../../operation.js';
import { developmentAnswer, developmentBody, developmentExample } from '../../schemas/development.js';
import { rfc3339 } from '../../time.js';
import { tellDevelopment, tellFixing, tellStanding, tellWashing } from '../../views/development.js';
import { groundOf, inUse, invalid, known, type Standing } from './place.js';
import { reduced, tidy } from './reckoned.js';

type Body = z.output<typeof developmentBody>;

export const consultDevelopment = operation({
  id: 'consultDevelopment',
  method: 'post',
  path: '/v1/consult/development',
  tag: 'Questions',
  summary: 'How long to develop, fix and wash at a temperature',
  description:
    'Looks the time up in the charts in force: the maker’s sheet on file, the law’s chart or the common one, one of them, ' +
    'never a mixture, and says which and why. Between two rows the colder one answers; beyond the rows none does. With ' +
    '`time` it says whether that lies under, on or over. Stores nothing. Without `site` the rules of `jurisdictions` ' +
    'answer for an office with nothing on record.',
  access: 'findings:read',
  body: { kind: 'json', required: true, schema: developmentBody, example: developmentExample },
  answers: {
    200: { description: 'The answer.', content: { 'application/json': { schema: developmentAnswer } } },
  },
  problems: ['invalid-json', 'invalid-body', 'unsupported-media-type', 'unknown-site'],
  async handle({ key, body, services }) {
    const ground = await groundOf(services, key, body, { lines: assumedLines(body) });
    const line = lineOf(ground, body);
    const method = body.method ?? line.config.method;
    const question = {
      ...{ line: line.id, method, chemistry: body.chemistry, temperature: reduced(body.temperature) },
      ...{
        time: body.time && reduced(body.time),
        clearing: body.fixer && reduced(body.fixer.clearing),
        freshClearing: body.fixer?.fresh && reduced(body.fixer.fresh),
      },
      washTemperature: body.wash && reduced(body.wash.temperature),
    };
    const answer = developmentAt(ground.state, ground.at, ground.book, question);
    if (answer === undefined) throw invalid('/line', 'unknown-line', 'is not set up at this site');
    const place = body.site === undefined ? {} : { site: body.site, line: line.id };
    return {
      status: 200,
      body: tidy({ at: rfc3339(ground.at), caution, ...place, method, ...view(answer, question) }),
    };
  },
});

/** Without a site the question itself says what line there is. @throws Problem */
function assumedLines({ site, method, chemistry, line }: Body) {
  if (site !== undefined) return [];
  if (line !== undefined) throw invalid('/line', 'combination', 'needs site: a line belongs to one');
  if (method === undefined) throw invalid('/method', 'missing', 'is required where no site is given');
  return [{ id: 'line', method, ...(chemistry && { chemistry }) }];
}

/** The line that is meant: by name, else the only one of its way of processing. @throws Problem */
function lineOf({ state }: Standing, { line, method }: Body): LineState {
  const lines = inUse(state.lines);
  if (line !== undefined) return known(lines, line, '/line');
  const those = lines.filter(({ config }) => method === undefined || config.method === method);
  const [only, ...others] = those;
  if (only !== undefined && others.length === 0) return only;
  const allowed = those.map(({ id }) => id);
  const which =
    allowed.length === 0 ? `no line of this site processes ${method ?? 'films'}` : `is one of ${allowed.join(', ')}`;
  throw invalid('/line', 'missing', `must be given: ${which}`, { allowed });
}

function view(answer: DevelopmentAnswer, asked: { temperature: number; method: string; time?: number | undefined }) {
  const { time, by, standing, most, fixing, washing, asked: words, chemistry } = answer;
  const { byClearing, life, least } = fixing;
  const own = standing &&
    asked.time !== undefined && { time: asked.time, ...standing, most: most?.time, text: tellStanding(answer) };
  return {
    ...{ chemistry, temperature: asked.temperature, time: time ?? null, chart: by?.chart?.title ?? null },
    source: by ?? null,
    ...tellDevelopment(answer, asked),
    given: own,
    asked: words,
    fixing: {
      least: byClearing?.least ?? least,
      ...{ longest: byClearing?.longest, clearing: byClearing?.clearing },
      ...{ ratio: life?.ratio, exhausted: life?.isExhausted, text: tellFixing(fixing) },
    },
    washing: { least: washing.least, source: washing.by, text: tellWashing(washing) },
  };
}
