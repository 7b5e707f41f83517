import type { Kinship } from '../alike.js';
import { reviewedFilm, reviewedRun } from '../apply/films.js';
import type { CausesAnswer } from '../consult/causes.js';
import { leadingOf, likelihoodWord, lower, othersOf } from '../consult/likely.js';
import type { Moment } from '../moment.js';
import { standing } from '../standing.js';
import type { FilmState, RunState } from '../state.js';
import { clearingRatio, freshTemperature } from './baths.js';
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

/** The run that the film went through; where nobody says which, the baths of the line as they stand. */
function run(moment: Moment): Partial<RunState> | undefined {
  const { state, event, line } = moment;
  if (event?.type !== 'film.reviewed') return undefined;
  const own = reviewedRun(state, event);
  if (own !== undefined || line === undefined || film(moment)?.run !== undefined) return own;
  const temperature = freshTemperature(moment, 'developer');
  return { ...standing(moment), ...(temperature !== undefined && { temperature }) };
}

/** Whether the bath that a run went through still stands in its line. */
const stillStands = ({ line }: Moment, bath: string, { ref }: Partial<RunState>) =>
  ref !== undefined && (line?.baths[bath]?.fill?.ref.at ?? Infinity) <= ref.at;

/** A strip tells of a bath as warm as that of the film, K. Our choice. */
const asWarm = 1;

/**
 * The last strip before the film, or one read later of the same bath, not replenished since and as warm: another says
 * nothing of the bath that the film went through.
 */
function strip(moment: Moment): RunState['strip'] {
  const { line, event } = moment;
  const lately = (one: RunState['strip'], at: number) =>
    one === undefined || at - one.at > counts.strip * day ? undefined : one;
  if (event?.type !== 'film.reviewed') return lately(line?.wedge, moment.at);
  const own = run(moment);
  if (own === undefined) return undefined;
  const at = own.ref?.at ?? moment.at;
  const later = line?.wedge;
  const isOfIt =
    later?.temperature !== undefined &&
    own.temperature !== undefined &&
    Math.abs(later.temperature - own.temperature) <= asWarm &&
    !((line?.replenishedAt ?? -Infinity) > at);
  if (later !== undefined && later.at > at && stillStands(moment, 'developer', own) && isOfIt) return later;
  return lately(own.strip, at);
}

function clearing(moment: Moment): number | undefined {
  const own = run(moment);
  if (own === undefined) return undefined;
  const { line } = moment;
  return (line && stillStands(moment, 'fixer', own) ? clearingRatio(line) : undefined) ?? own.clearing;
}

/** How a test film of a kind came out in the last week, either way from the film. */
const testFilm =
  (kind: string): FactReader =>
  ({ line, at }) => {
    const found = line?.testFilms?.[kind];
    return found === undefined || Math.abs(at - found.at) > counts.strip * day ? undefined : found.asExpected;
  };

const chanceOf =
  (kinship: Kinship): FactReader =>
  ({ alike }) =>
    alike?.().common.find((one) => one.kinship === kinship)?.chance;

const inseparable =
  (kinship: Kinship, other: Kinship): FactReader =>
  ({ alike }) =>
    alike?.()
      .common.find((one) => one.kinship === kinship)
      ?.inseparableFrom.includes(other);

function toldAlike({ alike }: Moment): string | undefined {
  const found = alike?.();
  if (found === undefined || found.films < 2) return undefined;
  const { run: runs, unit, person } = found.distinct;
  const parts = [counted(runs, 'run'), counted(unit, 'unit'), counted(person, 'person', 'people')].filter(
    (part) => part !== '',
  );
  return `${found.films} films show it${parts.length === 0 ? '' : `, of ${parts.join(', ')}`}`;
}

const counted = (count: number, one: string, many = `${one}s`) =>
  count === 0 ? '' : `${count} ${count === 1 ? one : many}`;

function told(answer: CausesAnswer): string {
  const leading = leadingOf(answer);
  if (leading === undefined) return 'Unknown cause';
  const word = likelihoodWord(leading.probability);
  return `${word.slice(0, 1).toUpperCase()}${word.slice(1)}: ${lower(leading.cause.title)}${othersOf(answer)}`;
}

/** Of the evidence for a cause the piece that is most its own: shared by the fewest causes, then the weightiest. */
function because(answer: CausesAnswer): string | undefined {
  const shared = (text: string) =>
    answer.causes.filter(({ evidence }) => evidence.some((one) => one.text === text)).length;
  const speaking = (leadingOf(answer)?.evidence ?? []).filter(({ ratio }) => ratio >= 2);
  return speaking.map((one) => ({ ...one, of: shared(one.text) })).sort((a, b) => a.of - b.of || b.ratio - a.ratio)[0]
    ?.text;
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
  'causes.because': ({ ranked }) => {
    const answer = ranked?.();
    return answer && because(answer);
  },
  'causes.act': ({ ranked }) => {
    const answer = ranked?.();
    return answer && leadingOf(answer)?.act;
  },
  'causes.salvage': (moment) => leading(moment)?.salvage,
  'film.extent': ({ event }) => (event?.type === 'film.reviewed' ? event.data.extent : undefined),
  'film.developer.temperature': (moment) => run(moment)?.temperature,
  'film.developer.aboveReference': (moment) => {
    const [own, reference] = [run(moment)?.temperature, moment.line?.reference?.temperature];
    return own === undefined || reference === undefined ? undefined : own - reference;
  },
  'film.developer.age': (moment) => run(moment)?.developer?.age,
  'film.developer.films': (moment) => run(moment)?.developer?.films,
  'film.developer.time': (moment) => run(moment)?.time,
  'film.developer.timeAsked': (moment) => {
    const { time, timeRatio } = run(moment) ?? {};
    return time === undefined || timeRatio === undefined ? undefined : time / timeRatio;
  },
  'film.rinse.time': (moment) => run(moment)?.rinse,
  'film.fixer.time': (moment) => run(moment)?.fixing,
  'film.fixer.age': (moment) => run(moment)?.fixer?.age,
  'film.fixer.films': (moment) => run(moment)?.fixer?.films,
  'film.fixer.clearingRatio': clearing,
  'film.wash.time': (moment) => run(moment)?.washing,
  'film.daysIdle': (moment) => run(moment)?.idle,
  'film.timeRatio': (moment) => run(moment)?.timeRatio,
  'film.exposureRatio': (moment) => film(moment)?.ratio,
  'film.holder': (moment) => film(moment)?.holder,
  'film.lotExpired': (moment) => {
    const lot = moment.state.lots[film(moment)?.lot ?? ''];
    return lot?.expiresAt === undefined ? undefined : moment.at >= lot.expiresAt;
  },
  'line.lastStrip': (moment) => strip(moment)?.direction,
  'line.lastStripTells': (moment) => strip(moment)?.tells,
  'line.unexposedFilmAsExpected': testFilm('unexposed'),
  'line.exposedFilmAsExpected': testFilm('exposed'),
  'alike.films': ({ alike }) => alike?.().films,
  'alike.units': ({ alike }) => alike?.().distinct.unit,
  'alike.people': ({ alike }) => alike?.().distinct.person,
  'alike.inRun': ({ alike }) => alike?.().ofRun?.with,
  'alike.notInRun': ({ alike }) => alike?.().ofRun?.without,
  'alike.told': toldAlike,
  'alike.unitChance': chanceOf('unit'),
  'alike.personChance': chanceOf('person'),
  'alike.handsChance': chanceOf('hands'),
  'alike.lotChance': chanceOf('lot'),
  'alike.lineChance': chanceOf('line'),
  'alike.hourChance': chanceOf('hour'),
  'alike.unitIsPerson': inseparable('unit', 'person'),
  'alike.lotIsLine': inseparable('lot', 'line'),
  'line.coinSeenInTheDark': coin('lightTight'),
  'line.coinSeenUnderSafelight': coin('safelight'),
  'line.daysSinceRollers': ({ line, at }) =>
    line?.rollersAt === undefined ? undefined : Math.floor((at - line.rollersAt) / day),
};
