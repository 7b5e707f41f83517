import { filmKnown } from '../apply/films.js';
import type { Moment } from '../moment.js';
import type { FilmState } from '../state.js';
import type { FactReader } from './reader.js';

/** A strip, a coin test or a cleaning older than that says nothing of the films of today, days. Our choices. */
const counts = { strip: 7, coin: 62 } as const;
const day = 86_400_000;

/** The film that is looked at, as its own exposure and run told of it. */
function film({ state, event }: Moment): FilmState | undefined {
  return event?.type === 'film.reviewed' && event.data.film !== undefined
    ? filmKnown(state, event.data.film)
    : undefined;
}

const coin =
  (test: string): FactReader =>
  ({ line, at }) => {
    const found = line?.coins?.[test];
    return found === undefined || at - found.at > counts.coin * day ? undefined : found.seen;
  };

function strip({ line, at }: Moment) {
  const found = line?.wedge;
  return found === undefined || at - found.at > counts.strip * day ? undefined : found;
}

export const filmFacts: Record<string, FactReader> = {
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
