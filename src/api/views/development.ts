import type { AskedChart, ChartAnswer, DevelopmentAnswer, Fixing, Lasting } from '../../engine/consult/development.js';
import { sayClock, sayFact } from '../../engine/words.js';
import { fixingRule } from '../../radiography/development/fixing.js';

/** The answer of a question on development as a person would tell it. */
export interface Told {
  readonly text: string;
  /** Why this chart answered, and what others said. */
  readonly why: readonly string[];
}

export function tellDevelopment(answer: DevelopmentAnswer, asked: { temperature: number; method: string }): Told {
  const at = sayTemperature(asked.temperature);
  const { time, by } = answer;
  if (time === undefined || by === undefined)
    return { text: `No time for ${asked.method} development at ${at}.`, why: whyNone(answer, asked.method) };
  const text = `Develop ${sayClock(time)} at ${at}, by ${by.chart?.title ?? by.authority}.`;
  return {
    text,
    why: [...whyThis(by, answer), ...answer.open.map((word) => `${word.authority}: ${silenceOf(word)}.`)],
  };
}

const sayTemperature = (celsius: number) =>
  `${sayFact('developer.temperature', celsius, 'UTC')} (${Math.round(celsius * 10) / 10} C)`;

function whyThis(by: ChartAnswer, { asked }: DevelopmentAnswer): string[] {
  const who = by.layer === 'practice' ? 'common practice' : by.authority;
  const isOnFile = asked.some(({ chart }) => chart?.layer === 'maker');
  if (by.chart?.layer === 'maker') {
    if (by.role === 'alternative')
      return [`The maker’s sheet on file answers: ${who} accepts it in place of its own chart.`];
    if (by.role === 'fallback') return [`The maker’s sheet on file answers before ${who}.`];
    return ['The maker’s sheet on file answers; no rule in force speaks of this way of processing.'];
  }
  if (by.role === undefined) return [`It is what ${who} asks for, whatever the maker’s sheet says.`];
  const sheet = isOnFile ? 'the maker’s sheet on file has no answer here' : 'no maker’s sheet is on file for the line';
  return by.role === 'alternative'
    ? [`${who} accepts its own chart or the maker’s sheet; ${sheet}.`]
    : [
        `It stands in for the maker’s sheet: ${sheet}.`,
        ...(by.layer === 'practice' ? ['It is common practice, not law.'] : []),
      ];
}

function whyNone({ asked, chemistry }: DevelopmentAnswer, method: string): string[] {
  if (asked.length === 0)
    return [
      `No chart in force speaks of ${method} processing with ${chemistry ?? 'this'} chemistry: the maker’s sheet, or the manual of the processor, decides. Put it on file.`,
    ];
  const outside = asked.some(({ silent }) => silent === 'below' || silent === 'above');
  return [
    ...asked.map((word) => `${word.chart?.title ?? word.authority}: ${silenceOf(word)}.`),
    ...(outside ? ['Bring the developer to a temperature of the chart first; no time is read beyond it.'] : []),
  ];
}

function silenceOf({ silent, chart }: ChartAnswer): string {
  switch (silent) {
    case 'below':
      return `it begins at ${rowText(chart, 'from')}`;
    case 'above':
      return `it ends at ${rowText(chart, 'to')}`;
    case 'gap':
      return 'it has no sound row here; the copy that was read is doubtful or leaves it out';
    case 'notInForce':
      return 'its chart is not in force here';
    default:
      return 'it needs to know more than was asked with';
  }
}

const rowText = (chart: AskedChart | undefined, end: 'from' | 'to') =>
  chart === undefined ? 'another value' : (sayFact(chart.rows.by, chart.rows[end], 'UTC') ?? String(chart.rows[end]));

/** Whether a time is under, on or over. */
export function tellStanding({ standing, time, most }: DevelopmentAnswer): string | undefined {
  if (standing === undefined || time === undefined) return undefined;
  const off = sayClock(Math.abs(standing.off));
  if (standing.stands === 'under') return `${off} too short.`;
  if (standing.stands === 'over')
    return `${off} over${most === undefined ? '' : `, and ${sayClock(most.time)} is the longest that is still no mistake`}.`;
  return standing.off === 0 ? 'On the chart’s time.' : `${off} over the chart’s time, and still no mistake.`;
}

export function tellFixing({ byClearing, life, least, by }: Fixing): string {
  if (byClearing === undefined)
    return least === undefined
      ? 'Nothing in force speaks of fixing here: the maker’s sheet decides.'
      : `At least ${sayClock(least)} (${by?.authority}); the clearing time of the fixer is not known.`;
  const { clearing, least: twice, longest, isTooSlow } = byClearing;
  const exhausted = life?.isExhausted === true ? ' It has doubled since the fixer was fresh: change the fixer.' : '';
  return isTooSlow
    ? `Film clears in ${sayClock(clearing)}: twice that is longer than film may lie in the fixer (${sayClock(longest)}). Change the fixer.`
    : `Film clears in ${sayClock(clearing)}: fix at least ${sayClock(twice)} and no longer than ${sayClock(longest)} (${fixingRule.source.text}).${exhausted}`;
}

export function tellWashing({ least, by }: Lasting): string {
  if (least === undefined) return 'Nothing in force speaks of washing here: the maker’s sheet decides.';
  const said = `At least ${sayClock(least)} (${by?.authority}).`;
  if (by?.chart?.rows.by === 'wash.temperature') return said;
  return `${said} No washing time by temperature is in force; cold water washes more slowly (common practice, no source).`;
}
