import type { Moment } from '../moment.js';
import { againstChart } from '../technique.js';
import type { FactReader } from './reader.js';

/** A strip older than that says nothing of the films of today, ms. Our choice: two weeks. */
const stripsCount = 14 * 86_400_000;

export const exposureFacts: Record<string, FactReader> = {
  'exposure.filmSpeed': (moment) => (moment.event?.type === 'film.exposed' ? moment.event.data.filmSpeed : undefined),
  'exposure.retake': (moment) =>
    moment.event?.type === 'film.exposed' ? moment.event.data.retakeOf !== undefined : undefined,
  'exposure.time': (moment) => againstChart(moment)?.time,
  'exposure.expectedTime': (moment) => againstChart(moment)?.expectedTime,
  'exposure.ratio': (moment) => againstChart(moment)?.ratio,
  'strips.lighter': stripsLighter,
};

/** Whether the latest strip of any line in use was lighter than its reference film: which line a film will see is not known yet. */
function stripsLighter({ state, at }: Moment): boolean | undefined {
  const strips = Object.values(state.lines).flatMap(({ config, wedge }) =>
    config.ended === true || wedge === undefined || at - wedge.at > stripsCount ? [] : [wedge],
  );
  return strips.length === 0 ? undefined : strips.some(({ direction }) => direction === 'lighter');
}
