import type { Said } from '../../packs/book.js';
import { facts } from '../../packs/facts.js';
import type { Bound, Chart, Limit } from '../../packs/model.js';
import { inUnitOf } from '../../packs/reader/units.js';
import { makersChart } from '../makers-chart.js';
import type { Moment } from '../moment.js';
import { sayAllowance, sayPeriod, sayQuantity, sayTimes } from '../words.js';
import type { BoundText, ChartText } from './effective.js';

/** A bound as a person reads it, with the chart that answers for it. */
export function boundText(moment: Moment, limit: Said<Limit>, bound: Bound): BoundText {
  switch (bound.kind) {
    case 'quantity':
      return { text: sayQuantity(bound.quantity), value: bound.quantity.value, unit: bound.quantity.unit };
    case 'period':
      return { text: sayPeriod(bound.period) };
    case 'fact':
      return { text: sayTimes(bound) };
    case 'chart': {
      const own = moment.rules.charts.get(bound.chart);
      const sheet = limit.role === undefined ? undefined : makersChart(moment, own?.answers ?? limit.id);
      const chart = sheet ?? own;
      return {
        text:
          chart === undefined
            ? `by chart: ${bound.chart}: the chart is not in force here, so it has no answer`
            : `by chart: ${chart.title}${sayAllowance(limit.of, bound.plus?.canonical)}`,
        chart: chart && chartText(chart),
        sheet: sheet && { id: sheet.id, title: sheet.title },
      };
    }
  }
}

function chartText({ id, title, pack, lookup = 'step', units, by, and, gives, rows }: Said<Chart>): ChartText {
  return {
    ...{ id, title, layer: pack.layer, lookup, units },
    rows: rows.map(({ key, and: second, value }) => ({
      key: asWritten(by, key, units.by),
      ...(second === undefined ? {} : { and: asWritten(and ?? '', second, units.and ?? '1') }),
      value: asWritten(gives, value, units.gives),
    })),
  };
}

/** A number of a fact in a unit again; nine digits take the binary fractions away. */
export function asWritten(name: string, value: number, unit: string): number {
  const own = facts.get(name)?.unit;
  if (own === undefined) return value;
  const zero = inUnitOf(own, { value: 0, unit }, 'reading');
  const one = inUnitOf(own, { value: 1, unit }, 'reading');
  return Number(((value - zero) / (one - zero)).toPrecision(9));
}
