import type { Finding } from '../../engine/finding.js';
import type { EventRef } from '../../events/event.js';
import { TrialError } from '../../ledger/what-if.js';
import type { Changed, Listed, WhatIf } from '../../trials/what-if/index.js';
import { requireSite } from '../auth.js';
import { caution } from '../caution.js';
import { faulty } from '../faults.js';
import { hasScope, type Key } from '../keys.js';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { whatIfAnswer, whatIfBody } from '../schemas/what-if.js';
import type { Services } from '../services.js';
import { rfc3339, rfc3339Maybe } from '../time.js';

/** How long a caller that found everybody busy waits before it comes again, s. */
const comeAgain = '5';

export const whatIf = operation({
  id: 'whatIf',
  method: 'post',
  path: '/v1/what-if',
  tag: 'Packs',
  summary: 'What would have been found with other packs',
  description:
    'Folds recorded events twice, with the packs as they are and with these, each in the place of every text of its ' +
    'id; writes nothing. Says which findings come, go and change and by which events, what the history cannot show, ' +
    'and how many new cards that means. At most 200,000 events a request and one trial at a time; ' +
    '`stepwedge packs what-if` has no such cap. Needs `findings:read` too.',
  access: 'packs:write',
  body: {
    kind: 'json',
    required: true,
    schema: whatIfBody,
    example: {
      packs: ['pack: clinic/own\nversion: 1.0.0\n…'],
      sites: ['brackenfold'],
      from: '2026-01-01T00:00:00-08:00',
    },
  },
  answers: {
    200: { description: 'What would have been.', content: { 'application/json': { schema: whatIfAnswer } } },
  },
  problems: [
    'invalid-json',
    'invalid-body',
    'unsupported-media-type',
    'unknown-site',
    'pack-faults',
    'too-many-events',
  ],
  async handle({ key, body, raw, services }) {
    const { packs, sites, from, to } = body;
    requireReading(key);
    for (const site of sites ?? []) requireSite(key, site);
    checkRange(services, from, to);
    const texts = textsOf(packs);
    const within = sites === undefined ? (key.sites ?? undefined) : undefined;
    const tried = await services.trials
      .whatIf(key.organisation, { texts, sites, within, from, to, goOn: () => !raw.isGone() })
      .catch(refuse);
    if (!tried.sound) throw packFaults(tried.diagnostics);
    const { answer, diagnostics, trial } = tried;
    return {
      status: 200,
      body: {
        caution,
        ...whatIfView(answer, from, tried.to),
        warnings: diagnostics,
        trial,
      },
    };
  },
});

/** A trial as it is shown; instants in ms become RFC 3339. */
export function whatIfView(answer: WhatIf, from: number | undefined, to: number) {
  return {
    from: rfc3339Maybe(from),
    to: rfc3339(to),
    ...answer,
    added: answer.added.map(listedView),
    removed: answer.removed.map(listedView),
    changed: answer.changed.map(changedView),
  };
}

/** The texts of a request by their places in it, as their faults name them. */
export function textsOf(packs: readonly string[]) {
  return packs.map((text, index) => ({ file: `packs/${index}`, text }));
}

/** @throws Problem for what a trial or check refuses. */
export function refuse(error: unknown): never {
  if (!(error instanceof TrialError)) throw error;
  switch (error.reason) {
    case 'unknown-site':
      throw new Problem('unknown-site', error.message, { also: { sites: error.sites } });
    case 'too-many-events':
      throw new Problem('too-many-events', error.message);
    case 'busy':
      throw new Problem('rate-limited', error.message, { headers: { 'Retry-After': comeAgain } });
    case 'stopped':
      throw new Problem('unavailable', error.message);
  }
}

function packFaults(diagnostics: readonly { readonly severity: string }[]): Problem {
  const count = diagnostics.filter(({ severity }) => severity === 'error').length;
  const detail = `The packs have ${count} ${count === 1 ? 'error' : 'errors'}.`;
  return new Problem('pack-faults', detail, { also: { diagnostics } });
}

/** The answer shows findings. */
function requireReading(key: Key): void {
  if (hasScope(key, 'findings:read')) return;
  throw new Problem('forbidden', `The key “${key.name}” lacks the scope findings:read.`, {
    also: { scope: 'findings:read' },
  });
}

function checkRange(services: Services, from: number | undefined, to: number | undefined): void {
  const refuse = (pointer: string, message: string) =>
    faulty('invalid-body', [{ pointer, code: 'out-of-range', message }]);
  const now = services.now();
  if (to !== undefined && to > now) throw refuse('/to', 'must not lie in the future: there is no history yet');
  if (from !== undefined && from > (to ?? now))
    throw refuse('/from', to === undefined ? 'must not lie in the future' : 'must not be after to');
}

function eventRef({ at, source, id, type }: EventRef) {
  return { at: rfc3339(at), source, id, type };
}

function headView(site: string, { id, rule, title, topic, line, tube }: Finding) {
  return { site, id, rule, title, topic, line, tube };
}

function sideView({ severity, state, openedAt, closedAt, message, chain, evidence }: Finding) {
  return {
    ...{ severity, state, opened: rfc3339(openedAt), closed: rfc3339Maybe(closedAt), message, chain },
    evidence: evidence.map(eventRef),
  };
}

function listedView({ site, finding }: Listed) {
  return { ...headView(site, finding), ...sideView(finding) };
}

function changedView({ site, differs, before, after }: Changed) {
  return { ...headView(site, after), differs, before: sideView(before), after: sideView(after) };
}
