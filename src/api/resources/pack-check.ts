import { operation } from '../operation.js';
import { packCheckAnswer, packCheckBody } from '../schemas/what-if.js';
import { refuse, textsOf } from './what-if.js';

export const packCheck = operation({
  id: 'packCheck',
  method: 'post',
  path: '/v1/pack-check',
  tag: 'Packs',
  summary: 'Read packs, show every fault, run their tests; store nothing',
  description:
    'The packs stand beside those in force, each in the place of every text of its id. The answer is 200 whatever is ' +
    'found: `sound` says whether they could be published. The faults are those of `stepwedge packs check`, word for ' +
    'word; tests are run for ten seconds at most.',
  access: 'packs:write',
  body: {
    kind: 'json',
    required: true,
    schema: packCheckBody,
    example: { packs: ['pack: clinic/own\nversion: 1.0.0\n…'] },
  },
  answers: {
    200: { description: 'What was found.', content: { 'application/json': { schema: packCheckAnswer } } },
  },
  problems: ['invalid-json', 'invalid-body', 'unsupported-media-type'],
  async handle({ key, body, services }) {
    const texts = textsOf(body.packs);
    const { packs, diagnostics, tests, sound } = await services.trials.check(key.organisation, texts).catch(refuse);
    const failed = tests.failed.map(({ rule, test, kind, failure = '' }) => ({ rule, test, kind, failure }));
    return {
      status: 200,
      body: {
        sound: sound && failed.length === 0 && tests.left === 0,
        packs,
        diagnostics,
        tests: { ...tests, failed },
      },
    };
  },
});
