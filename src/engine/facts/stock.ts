import { makersChart } from '../makers-chart.js';
import { wordIn } from '../refs.js';
import type { Moment } from '../moment.js';
import type { LotState } from '../state.js';
import type { FactReader } from './reader.js';

function lotName(moment: Moment): string | undefined {
  return moment.event && wordIn(moment.event, 'lot');
}
function lot(moment: Moment): LotState | undefined {
  const name = lotName(moment);
  return name === undefined ? undefined : moment.state.lots[name];
}
function storage(moment: Moment) {
  const event = moment.event;
  return event?.type === 'filmstock.stored' || event?.type === 'filmstock.received' ? event.data : undefined;
}

export const stockFacts: Record<string, FactReader> = {
  'lot.name': lotName,
  'lot.expired': (moment) => {
    const expiresAt = lot(moment)?.expiresAt;
    return expiresAt === undefined ? undefined : moment.at >= expiresAt;
  },
  'storage.temperature': (moment) => storage(moment)?.temperature,
  'storage.humidity': (moment) => storage(moment)?.humidity,
  'line.makersSheet': (moment) =>
    moment.line === undefined ? undefined : makersChart(moment, 'development-time-min') !== undefined,
};
