import { parse, View, type Spec } from 'vega';
import type { MeasureView } from '../../engine/trends/measure.js';

const size = { width: 640, height: 240 };

/** A chart in words, for whoever does not see it. */
export function measureInWords({
  title,
  line,
  tube,
  unit,
  readings,
  centre,
  low,
  high,
  forecast,
}: MeasureView): string {
  const last = readings.at(-1);
  const place = line ?? tube ?? '';
  const shown = (value: number) => `${Math.round(value * 1000) / 1000}${unit === '1' ? '' : ` ${unit}`}`;
  const signals = readings.filter((each) => each.signals.length > 0).length;
  return [
    `${title}, ${place}: ${readings.length} ${readings.length === 1 ? 'reading' : 'readings'}`,
    ...(last === undefined ? [] : [`the last ${shown(last.value)}`]),
    centre === undefined || low === undefined || high === undefined
      ? 'too few for limits'
      : `centre ${shown(centre)}, limits ${shown(low)} and ${shown(high)}`,
    ...(signals === 0 ? [] : [`${signals} with a signal`]),
    ...(forecast === undefined
      ? []
      : [
          `at the limit ${forecast.limit} in about ${Math.round(forecast.days)} days, between ${Math.floor(forecast.earliest)} and ${Math.ceil(forecast.latest)}`,
        ]),
  ].join('; ');
}

/**
 * The chart as SVG, with its words as title and description. Times are by UTC.
 * @throws what the charting library throws
 */
export async function measureSvg(view: MeasureView): Promise<string> {
  const words = measureInWords(view);
  const runtime = new View(parse(specOf(view, words)), { renderer: 'none' });
  try {
    const svg = await runtime.toSVG();
    const head = `<title>${escaped(view.title)}</title><desc>${escaped(words)}</desc>`;
    return svg.replace(/^<svg ([^>]*)>/, `<svg role="img" aria-label="${escaped(words)}" $1>${head}`);
  } finally {
    runtime.finalize();
  }
}

const escaped = (text: string) =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');

function specOf({ title, unit, readings, centre, low, high, line, tube }: MeasureView, words: string): Spec {
  const rules = [
    { value: centre, dash: [] },
    { value: low, dash: [6, 4] },
    { value: high, dash: [6, 4] },
  ].filter(({ value }) => value !== undefined);
  const values = [...readings.map(({ value }) => value), ...rules.map(({ value }) => value ?? 0)];
  const lineOf = (field: string, stroke: string, strokeWidth: number) => ({
    type: 'line' as const,
    from: { data: 'readings' },
    encode: {
      enter: {
        x: { scale: 'x', field: 'at' },
        y: { scale: 'y', field },
        defined: { signal: `isValid(datum.${field})` },
        stroke: { value: stroke },
        strokeWidth: { value: strokeWidth },
      },
    },
  });
  return {
    ...{ ...size, padding: 8, description: words, background: 'white' },
    title: { text: `${title}, ${line ?? tube ?? ''}`, anchor: 'start', fontSize: 13 },
    data: [
      { name: 'readings', values: readings.map((each) => ({ ...each, signalled: each.signals.length > 0 })) },
      { name: 'rules', values: rules },
      { name: 'extent', values: values.map((value) => ({ value })) },
    ],
    scales: [
      { name: 'x', type: 'utc', domain: { data: 'readings', field: 'at' }, range: 'width', nice: false },
      {
        name: 'y',
        type: 'linear',
        domain: { data: 'extent', field: 'value' },
        range: 'height',
        nice: true,
        zero: false,
      },
    ],
    axes: [
      { orient: 'bottom', scale: 'x', title: 'UTC', labelOverlap: true },
      { orient: 'left', scale: 'y', title: unit === '1' ? '' : unit, grid: true },
    ],
    marks: [
      {
        type: 'rule',
        from: { data: 'rules' },
        encode: {
          enter: {
            x: { value: 0 },
            x2: { signal: 'width' },
            y: { scale: 'y', field: 'value' },
            stroke: { value: '#555' },
            strokeDash: { field: 'dash' },
          },
        },
      },
      lineOf('smoothed', '#b35900', 2),
      lineOf('value', '#1f5fa8', 1),
      {
        type: 'symbol',
        from: { data: 'readings' },
        encode: {
          enter: {
            x: { scale: 'x', field: 'at' },
            y: { scale: 'y', field: 'value' },
            size: { signal: 'datum.signalled ? 90 : 30' },
            shape: { signal: "datum.signalled ? 'diamond' : 'circle'" },
            fill: { signal: "datum.signalled ? '#b00020' : '#1f5fa8'" },
          },
        },
      },
    ],
  };
}
