import * as z from 'zod';
import { nearest } from '../../events/nearest.js';
import type { MeasureView } from '../../engine/trends/measure.js';
import { facts } from '../../packs/facts.js';
import { measures } from '../../packs/measures.js';
import { caution } from '../caution.js';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { asOf } from '../query.js';
import { measureAnswer, measureParams } from '../schemas/measures.js';
import { rfc3339 } from '../time.js';
import { measureInWords, measureSvg } from '../views/measure-chart.js';
import { instantOf } from './board.js';
import { unknownSite } from './sites.js';

const svg = 'image/svg+xml';
const csv = 'text/csv';
const forms = ['application/json', csv, svg];

export const getMeasure = operation({
  id: 'getMeasure',
  method: 'get',
  path: '/v1/sites/{id}/measures/{name}',
  tag: 'Sites',
  summary: 'A measure over time, with its control chart and forecast',
  description:
    'The latest readings of each line or unit, the chart of the trend in force that follows it, what was signalled, and ' +
    'when a drift is foreseen to reach its limit. With `Accept: text/csv` the readings as rows, with `image/svg+xml` ' +
    'the chart of one line or unit, its words in it.',
  access: 'findings:read',
  params: measureParams,
  query: z.object({
    at: asOf,
    of: z.string().max(64).optional().meta({ description: 'Only this line or unit.', example: 'M1' }),
  }),
  answers: {
    200: {
      description: 'The measure.',
      content: {
        'application/json': { schema: measureAnswer },
        [csv]: { schema: z.string() },
        [svg]: { schema: z.string() },
      },
    },
  },
  problems: ['invalid-query', 'unknown-site', 'unknown-measure', 'not-acceptable'],
  async handle({ key, params: { id, name }, query, raw, services }) {
    const at = instantOf(services, key, id, query.at);
    const measure = measures.get(name);
    if (measure === undefined) {
      const near = nearest(name, measures.keys());
      const hint = near === undefined ? '' : ` Did you mean ${near}?`;
      throw new Problem('unknown-measure', `There are ${[...measures.keys()].join(', ')}.${hint}`);
    }
    const form = raw.accepts(forms);
    if (form === undefined) throw new Problem('not-acceptable', undefined, { also: { available: forms } });
    const found = await services.sites.measure(key.organisation, id, name, at);
    if (found === null) throw unknownSite(id, at);
    const views = found.filter(({ line, tube }) => query.of === undefined || query.of === (line ?? tube));
    const headers = { Vary: 'Accept' };
    if (form === csv) return { status: 200, type: `${csv}; charset=utf-8`, body: rowsOf(views), headers };
    if (form === svg) {
      const [only, ...others] = views;
      if (only === undefined || others.length > 0)
        throw new Problem(
          'unknown-measure',
          only === undefined
            ? `No reading of ${name} is on record${query.of === undefined ? '' : ` for ${query.of}`}.`
            : `A chart is of one; say which: of=${views.map(({ line, tube }) => line ?? tube).join(', of=')}.`,
        );
      return { status: 200, type: `${svg}; charset=utf-8`, body: await measureSvg(only), headers };
    }
    const { fact, title } = measure;
    return {
      status: 200,
      headers,
      body: {
        ...{ site: id, at: rfc3339(at), caution, measure: fact, title, unit: facts.get(fact)?.unit ?? '1' },
        items: views.map((view) => {
          const { measure: _measure, title: _title, unit: _unit, readings, ...rest } = view;
          const told = readings.map((each) => ({ ...each, at: rfc3339(each.at) }));
          return { ...rest, readings: told, text: measureInWords(view) };
        }),
      },
    };
  },
});

/** Names and numbers only: no field needs quotes. */
function rowsOf(views: readonly MeasureView[]): string {
  const rows = views.flatMap(({ measure, unit, line, tube, centre, low, high, readings }) =>
    readings.map(({ at, value, smoothed, signals }) =>
      [
        measure,
        unit,
        line ?? tube,
        rfc3339(at),
        value,
        smoothed ?? '',
        centre ?? '',
        low ?? '',
        high ?? '',
        signals.join(' '),
      ].join(','),
    ),
  );
  return ['measure,unit,of,at,value,smoothed,centre,low,high,signals', ...rows, ''].join('\r\n');
}
