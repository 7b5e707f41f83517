import type { Said } from '../packs/book.js';
import type { Chart } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import type { Moment } from './moment.js';

/** The maker's sheet on file for this line that answers a limit, if there is one. */
export function makersChart(moment: Moment, limitId: string): Said<Chart> | undefined {
  for (const chart of moment.rules.charts.values())
    if (chart.pack.layer === 'maker' && chart.answers === limitId && selects(chart.for, moment.scene)) return chart;
  return undefined;
}
