import { reviewedFilm } from '../apply/films.js';
import type { CausesAnswer } from '../consult/causes.js';
import { leadingOf, likelihoodWord, lower, othersOf } from '../consult/likely.js';
import type { Moment } from '../moment.js';
import type { FilmState } from '../state.js';
import type { FactReader } from './reader.js';

/** A strip, a coin test or a cleaning older than that says nothing of the films of today, days. Our choices. */
const counts = { strip: 7, coin: 62 } as const;
const day = 86_400_000;

/** The film that is looked at, as its own exposure and run told of it. */
function film({ state, event }: Moment): FilmState | undefined {
  return event?.type === 'film.reviewed' ? reviewedFilm(state, event) : undefined;
}

const coin =
  (test: string): FactReader =>
  ({ line, at }) => {
    const found = line?.coins?.[test];
    return found === undefined || at - found.at > counts.coin * day ? undefined : found.seen;
  };

/** The latest strip; one that was read after the film was developed says nothing of the bath that it went through. */
function strip(moment: Moment) {
  const found = moment.line?.wedge;
  if (found === undefined || moment.at - found.at > counts.strip * day) return undefined;
  const developed = film(moment)?.run?.at;
  return developed !== undefined && found.at > developed ? undefined : found;
}

function told(answer: CausesAnswer): string {
  const leading = leadingOf(answer);
  if (leading === undefined) return 'Unknown cause';
  const word = likelihoodWord(leading.probability);
  return `${word.slice(0, 1).toUpperCase()}${word.slice(1)}: ${lower(leading.cause.title)}${othersOf(answer)}`;
}

/** The leading cause; null where it is likelier that nobody knows, undefined where nothing was ranked. */
function leading({ ranked }: Moment) {
  const answer = ranked?.();
  return answer && (leadingOf(answer)?.cause ?? null);
}

export const filmFacts: Record<string, FactReader> = {
  'film.grade': ({ event }) => (event?.type === 'film.reviewed' ? event.data.grade : undefined),
  'film.signs': ({ event }) => (event?.type === 'film.reviewed' ? event.data.signs.length : undefined),
  'causes.leading': (moment) => {
    const cause = leading(moment);
    return cause === null ? 'unknown' : cause?.id;
  },
  'causes.told': ({ ranked }) => {
    const answer = ranked?.();
    return answer && told(answer);
  },
  'causes.first': ({ ranked }) => ranked?.()?.first[0]?.say,
  'causes.act': (moment) => leading(moment)?.act,
  'causes.salvage': (moment) => leading(moment)?.salvage,
  'film.extent': ({ event }) => (event?.type === 'film.reviewed' ? event.data.extent : undefined),
  'film.developer.temperature': (moment) => film(moment)?.temperature,
  'film.timeRatio': (moment) => film(moment)?.timeRatio,
  'film.exposureRatio': (moment) => film(moment)?.ratio,
  'film.holder': (moment) => film(moment)?.holder,
  'film.lotExpired': (moment) => {
    const lot = moment.state.lots[film(moment)?.lot ?? ''];
    return lot?.expiresAt === undefined ? undefined : moment.at >= lot.expiresAt;
  },
  'line.lastStrip': (moment) => strip(moment)?.direction,
  'line.lastStripTells': (moment) => strip(moment)?.tells,
  'line.coinSeenInTheDark': coin('lightTight'),
  'line.coinSeenUnderSafelight': coin('safelight'),
  'line.daysSinceRollers': ({ line, at }) =>
    line?.rollersAt === undefined ? undefined : Math.floor((at - line.rollersAt) / day),
};
