import { facts } from '../../packs/facts.js';
import type { Citation, Layer, Reading, Severity } from '../../packs/model.js';
import type { Side } from '../../packs/strictness.js';
import { daysBetween, localDate } from '../calendar.js';
import { sayDate } from '../words.js';
import type { BoundText, ChainLink, Counted, EffectiveLimit, NoEffect, Strictest, Turn } from './effective.js';

const layerWords: Readonly<Record<Layer, string>> = {
  federal: 'federal',
  state: 'state',
  county: 'county',
  city: 'city',
  maker: 'the maker',
  practice: 'beside the law',
  clinic: "the office's own",
};
const readWords: Readonly<Record<Reading, string>> = {
  text: 'read as text',
  agency: "read on the agency's page",
  summary: 'read as a summary',
  draft: 'read as a draft',
  practice: 'common practice',
};
const severityWords: Readonly<Record<Severity, string>> = {
  law: 'a breach of law',
  standard: 'a breach of a standard',
  warning: 'a warning',
  advice: 'advice',
};

/** A law that binds here and says nothing on a limit that was read, and what its source did not show. */
export interface Silent {
  readonly authority: string;
  /** It does, for other lines. */
  readonly speaks: boolean;
  readonly topics: readonly string[];
}

/** A limit's chain as a person would tell it, a sentence each. */
export function tell(
  limit: Omit<EffectiveLimit, 'told'>,
  at: number,
  zone: string,
  silent: readonly Silent[],
): string[] {
  const { chain, starts = [], ended = [], conflict } = limit;
  const where = limit.line === undefined ? '' : ` on line ${limit.line}`;
  const meaning = facts.get(limit.of)?.meaning ?? limit.of;
  const none = chain.length === 0 ? ' Nobody speaks on it at present.' : '';
  return [
    `${limit.limit}${where}: ${meaning}.${none}`,
    ...chain.flatMap(tellLink),
    ...limit.strictest.flatMap((one) => tellStrictest(one, chain)),
    ...(conflict === undefined ? [] : [`These cannot both be kept: ${conflict.join(' and ')}.`]),
    ...starts.map((turn) => tellStart(turn, at, zone)),
    ...ended.map((turn) => tellEnd(turn, zone)),
    ...silent.map(tellSilent),
  ];
}

function tellSilent({ authority, speaks, topics }: Silent): string {
  const begin = speaks ? `${authority} speaks on it for other lines only.` : `Of ${authority} nothing on it was read.`;
  return topics.length === 0 ? begin : `${begin} Not known there: ${topics.join('; ')}.`;
}

function tellLink(link: ChainLink): string[] {
  const { target, deprecated } = link;
  return [
    `${who(link)} says ${bounds(link)}${ofBath(link)}; outside it is ${severityWords[link.severity]}. ${cite(link.citation)}.`,
    ...sheet(link),
    ...(link.noEffect ?? []).map((idle) => tellIdle(link, idle, 'today')),
    ...(target === undefined ? [] : [`Its aim is ${target.min} to ${target.max}: shown, never judged.`]),
    ...(deprecated === undefined
      ? []
      : [
          `That limit is deprecated since ${deprecated.since}: ${deprecated.reason.replace(/[.\s]+$/, '')}.` +
            (deprecated.replacedBy === undefined ? '' : ` ${deprecated.replacedBy} takes its place.`),
        ]),
  ];
}

const who = ({ authority, layer }: Pick<ChainLink, 'authority' | 'layer'>) =>
  `${authority.charAt(0).toUpperCase()}${authority.slice(1)} (${layerWords[layer]})`;

function bounds({ min, max }: Pick<ChainLink, 'min' | 'max'>): string {
  const sides = [min && sided('min', min), max && sided('max', max)];
  return sides.filter((side) => side !== undefined).join(' and ');
}

const ofBath = ({ bath }: Pick<ChainLink, 'bath'>) => (bath === undefined ? '' : ` for the ${bath.join(' and the ')}`);

const sided = (side: Side, bound: BoundText) => `${side === 'min' ? 'at least' : 'at most'} ${plain(bound)}`;

function plain({ text }: BoundText): string {
  return text.startsWith('by chart: ') ? `what the chart gives (${text.slice('by chart: '.length)})` : text;
}

function cite({ text, shown, read }: Citation): string {
  const how = text.includes(readWords[read]) ? '' : readWords[read];
  const notes = [shown, how].filter((note) => note !== undefined && note !== '');
  return notes.length === 0 ? text : `${text} (${notes.join(', ')})`;
}

function sheet({ role, min, max }: ChainLink): string[] {
  if (role === undefined) return [];
  const found = min?.sheet ?? max?.sheet;
  if (found === undefined)
    return [
      role === 'fallback'
        ? "A maker's sheet on file would answer in its place; there is none for this line."
        : "A maker's sheet on file would do as well; there is none for this line.",
    ];
  return [
    role === 'fallback'
      ? `The maker's sheet on file, ${found.title}, answers in its place.`
      : `Its own chart or the maker's sheet on file, ${found.title}: either satisfies.`,
  ];
}

function tellIdle(
  { min, max, layer, authority, bath }: ChainLink,
  { side, same, counted, ...other }: NoEffect,
  day: string,
): string {
  const own = side === 'min' ? min : max;
  const whose = layer === 'clinic' ? 'Your own limit' : `The limit of ${authority}`;
  const what = own === undefined ? whose : `${whose}, ${sided(side, own)}${ofBath({ bath })},`;
  const than = `${other.citation.text} (${other.authority})`;
  const word = sided(side, { text: other.text });
  return `${what} has no effect${ofFill(counted, day)}: ${than} ${same ? 'asks for as much already' : 'is stricter'}, ${word}.`;
}

/** Which of two periods ends first may hang on the day that both are counted from. */
function ofFill(counted: Counted | undefined, day: string): string {
  return counted === undefined ? '' : counted === 'fills' ? ' for the fills on record' : ` for a fill of ${day}`;
}

/** Who decides, where several speak on a side. */
function tellStrictest({ side, bath, counted, citation, text }: Strictest, chain: readonly ChainLink[]): string[] {
  if (chain.filter((link) => link[side] !== undefined).length < 2) return [];
  const where = bath === undefined ? '' : ` for the ${bath}`;
  return [`The strictest${where}${ofFill(counted, 'today')} is ${citation.text}: ${sided(side, { text })}.`];
}

function tellStart(turn: Turn, at: number, zone: string): string {
  const days = daysBetween(localDate(at, zone), localDate(turn.at, zone));
  const wait = days === 0 ? 'later today' : `in ${days} ${days === 1 ? 'day' : 'days'}`;
  const instead = turn.instead === undefined ? '' : `, in place of ${turn.instead}`;
  const idle = (turn.noEffect ?? []).map((each) => ` ${tellIdle(turn, each, 'that day')}`).join('');
  return `From ${sayDate(turn.at, zone)}, ${wait}: ${who(turn)} says ${bounds(turn)}${ofBath(turn)}${instead}; outside it is ${severityWords[turn.severity]}. ${cite(turn.citation)}.${idle}`;
}

function tellEnd(turn: Turn, zone: string): string {
  return `Ended, last in force on ${sayDate(turn.at - 1, zone)}: ${who(turn)} said ${bounds(turn)}${ofBath(turn)}. ${cite(turn.citation)}. Nothing has taken its place.`;
}
