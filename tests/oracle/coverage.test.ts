import { expect, jest, test } from '@jest/globals';
import fc from 'fast-check';
import { advance, cloneState, createState, step } from '../../src/engine/fold.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { shipped as book } from '../scenarios/stage.js';
import { addressed, histories, type History } from './histories.js';
import { inOrder } from './naive.js';
import { decoded, patience, seed } from './settings.js';

jest.setTimeout(patience);

/** What a history holds that the laws are about. */
function contents({ events, until }: History): Set<string> {
  const holds = new Set<string>();
  const all = events.map(decoded);
  const final = foldSite(all, book, until);
  const findings = [...final.findings.values()];
  if (findings.some(({ state }) => state === 'cleared')) holds.add('clears');
  if (findings.some(({ state }) => state === 'lapsed')) holds.add('lapses');
  if (findings.some(({ severity }) => severity === 'law')) holds.add('law');
  if (
    findings.some(
      ({ acknowledgedBy, snoozedUntil, rootCause, state }) =>
        acknowledgedBy ?? snoozedUntil ?? rootCause ?? state === 'acknowledged',
    )
  ) {
    holds.add("people's words that reach a finding");
  }
  if (findings.some(({ hold }) => hold !== undefined)) holds.add('holds');
  if (Object.keys(final.state.unevaluable).length > 0) holds.add('not evaluable');
  if (new Set(all.map(({ at }) => at)).size < all.length) holds.add('ties');
  if (all.some(({ type }) => type === 'event.retracted')) holds.add('retractions');
  if (all.filter(({ type }) => type === 'site.configured').length > 1) holds.add('site changes');
  if (all.some(({ type }) => type === 'site.closed')) holds.add('closures');

  const developed = new Set(all.flatMap((event) => (event.type === 'film.processed' ? (event.data.films ?? []) : [])));
  const spokenOf = all.flatMap((event) =>
    event.type === 'film.refixed' ? (event.data.films ?? []) : event.type === 'film.reviewed' ? [event.data.film] : [],
  );
  if (spokenOf.some((film) => film !== undefined && developed.has(film))) holds.add('links');

  // As the events arrive, half of them make the office believe things that the rest takes back.
  const half = foldSite(all.slice(0, Math.ceil(all.length / 2)), book, until);
  if ([...half.findings.keys()].some((id) => !final.findings.has(id))) holds.add('withdrawals');

  // A sweep that finds what no event would have found.
  const state = createState();
  for (const event of inOrder(all)) step(state, event, book);
  if (advance(cloneState(state), until, book).length > 0) holds.add('sweeps');
  return holds;
}

/** The least share of histories, in percent, that must hold each. */
const least: Readonly<Record<string, number>> = {
  clears: 60,
  lapses: 5,
  law: 35,
  "people's words that reach a finding": 5,
  holds: 50,
  'not evaluable': 60,
  ties: 35,
  retractions: 45,
  'site changes': 30,
  closures: 15,
  links: 30,
  withdrawals: 45,
  sweeps: 18,
};

test(`generated histories hold what the laws are about, seed ${seed}`, () => {
  for (const rule of Object.values(addressed)) expect(book.rule(rule)?.id).toBe(rule);
  const sample = fc.sample(histories(), { numRuns: 100, seed });
  const counts = new Map<string, number>();
  for (const history of sample) for (const what of contents(history)) counts.set(what, (counts.get(what) ?? 0) + 1);
  const shares = Object.fromEntries(
    Object.keys(least).map((what) => [what, Math.round((100 * (counts.get(what) ?? 0)) / sample.length)]),
  );
  const short = Object.entries(least).filter(([what, share]) => (shares[what] ?? 0) < share);
  expect({ short, shares }).toEqual({ short: [], shares });
});
