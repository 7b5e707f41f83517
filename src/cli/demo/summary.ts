import { DateTime } from 'luxon';
import { severities, type Severity } from '../../packs/model.js';
import { labelled, table, thousands, wrap } from './layout.js';
import type { Office } from './offices.js';
import type { ShownBoard, ShownDue, ShownFinding } from './talk.js';

/** What the server was asked for after the season, by office id where it is of one office. */
export interface Answers {
  readonly offices: readonly Office[];
  readonly findings: readonly ShownFinding[];
  readonly due: ReadonlyMap<string, readonly ShownDue[]>;
  readonly boards: ReadonlyMap<string, ShownBoard>;
  /** What the API says beside every finding. */
  readonly caution: string;
}

const states: Readonly<Record<string, string>> = { 'us-wa': 'Washington', 'us-mn': 'Minnesota', 'us-nm': 'New Mexico' };
const strongestFirst = [...severities].reverse();

/** On whose word, in plain language. */
const meanings: Readonly<Record<Severity, string>> = {
  law: 'outside a rule of law, as far as it was read',
  standard: 'outside a standard of the trade or a maker',
  warning: 'outside common practice, or a record that lacks something',
  advice: 'worth a look; never on the board',
};
const openNote =
  'Still open beside a clear board: advice, and films already developed. Those stay on record until somebody resolves them.';

/** The whole summary, as lines of at most `width` columns. */
export function summary(answers: Answers, width: number): string[] {
  return [
    'FINDINGS OF THE SEASON, each once, at the highest severity it reached',
    ...counted(answers),
    '',
    ...strongestFirst.flatMap((severity) => labelled(severity, meanings[severity], width, 10)),
    ...wrap(openNote, width - 2).map((line) => `  ${line}`),
    '',
    ...mattering(answers, width),
    'DUE NEXT',
    ...dueNext(answers, width),
    '',
    ...wrap(answers.caution, width),
  ];
}

function counted({ offices, findings, boards }: Answers): string[] {
  const header = ['', '', ...strongestFirst, 'still open', 'board now'];
  const rows = offices.map(({ id, config }) => {
    const own = findings.filter(({ site, state }) => site === id && state !== 'withdrawn');
    const state = config.jurisdictions.map((place) => states[place]).find((name) => name !== undefined) ?? '';
    return [config.name, state, ...numbers(own), boards.get(id)?.state ?? ''];
  });
  const all = findings.filter(({ state }) => state !== 'withdrawn');
  return table([header, ...rows, ['All', '', ...numbers(all), '']], 2);
}

function numbers(findings: readonly ShownFinding[]): string[] {
  const shown = (count: number): string => (count === 0 ? '-' : thousands(count));
  return [
    ...strongestFirst.map((severity: Severity) =>
      shown(findings.filter((finding) => finding.severity === severity).length),
    ),
    shown(findings.filter(isOpen).length),
  ];
}

const isOpen = ({ state }: ShownFinding): boolean => state === 'open' || state === 'acknowledged';

/** Holds first, then on whose word, then how many films it concerns. */
export function mostImportant(findings: readonly ShownFinding[], count: number): ShownFinding[] {
  const weight = ({ hold, severity, films }: ShownFinding): number[] => [
    hold === undefined ? 0 : 1,
    severities.indexOf(severity),
    films,
  ];
  return findings
    .filter(({ state }) => state !== 'withdrawn')
    .sort((a, b) => {
      const [left, right] = [weight(a), weight(b)];
      const differs = left.findIndex((value, index) => value !== right[index]);
      return differs < 0 ? a.openedAt.localeCompare(b.openedAt) : (right[differs] ?? 0) - (left[differs] ?? 0);
    })
    .slice(0, count);
}

function mattering({ findings, offices }: Answers, width: number): string[] {
  const shown = mostImportant(findings, 3);
  if (shown.length === 0) return [];
  const head = ['ONE THAT MATTERS', 'TWO THAT MATTER', 'THREE THAT MATTER'][shown.length - 1];
  return [
    `THE ${head} MOST, as the darkroom door read ${shown.length === 1 ? 'it' : 'them'}`,
    ...shown.flatMap((finding) => ['', ...fourLines(finding, offices, width)]),
    '',
  ];
}

/** State; what it is, with its numbers; what to do now; the next test. */
function fourLines(finding: ShownFinding, offices: readonly Office[], width: number): string[] {
  const office = offices.find(({ id }) => id === finding.site);
  const where = [office?.config.name ?? finding.site, finding.line ?? finding.tube].filter(isText).join(' ');
  const level = finding.hold === undefined ? 'CHECK' : 'HOLD';
  // Of a hold that is over, what it began with; else what was said last.
  const over = !isOpen(finding) && finding.hold !== undefined;
  return [
    ...labelled(level, `${where}, ${lifeOf(finding, office?.config.zone ?? 'utc')}`, width),
    ...labelled('What', (over ? finding.said[0]?.message : undefined) ?? finding.message, width),
    ...labelled('Now', finding.advise ?? 'Nothing more.', width),
    ...labelled('Test', finding.retest ?? 'None is asked for.', width),
  ];
}

const isText = (part: string | undefined): part is string => part !== undefined;

const endedBy: Readonly<Record<string, string>> = {
  'stepwedge.read': ': a strip came out within its limit',
  'chemistry.changed': ': the chemistry was changed',
  'bath.measured': ': the bath was read',
  'film.refixed': ': the films were fixed and washed',
  'finding.resolved': ': somebody resolved it',
};

/** "Wed 11 Feb 07:58 to 13:45. Standard (who says so). Now clear: a strip came out within its limit." */
function lifeOf(finding: ShownFinding, zone: string): string {
  const { openedAt, closedAt, closedBy, easedAt, films, kind, citation } = finding;
  const local = (instant: string | number): DateTime =>
    typeof instant === 'number' ? DateTime.fromMillis(instant, { zone }) : DateTime.fromISO(instant, { zone });
  const minute = 'ccc d LLL HH:mm';
  const opened = local(openedAt);
  const closed = closedAt === undefined ? undefined : local(closedAt);
  const until = closed === undefined ? '' : ` to ${closed.toFormat(closed.hasSame(opened, 'day') ? 'HH:mm' : minute)}`;
  // A check speaks of these films; while a duty was not done, films went on.
  const concerned = films > 0 ? `, ${films} film${films === 1 ? '' : 's'}${kind === 'duty' ? ' meanwhile' : ''}` : '';
  return [
    `${opened.toFormat(minute)}${until}${concerned}.`,
    `${severityOf(finding, (instant) => local(instant).toFormat('ccc d LLL'))} (${citation.text}).`,
    closed === undefined
      ? easedAt === undefined
        ? 'Still open.'
        : `Off the board since ${local(easedAt).toFormat(minute)}, when the rule was met again; on record until somebody resolves it.`
      : `Now clear${endedBy[closedBy?.type ?? ''] ?? ''}.`,
  ].join(' ');
}

/** "Law", or "A warning at first, law from Wed 2 Sep" where the layers of a duty fell due one after another. */
function severityOf({ kind, chain, severity }: ShownFinding, day: (instant: number) => string): string {
  const due = chain
    .flatMap(({ verdict, bound, severity: of }) => (verdict === 'broken' && bound !== undefined ? [{ bound, of }] : []))
    .sort((a, b) => a.bound - b.bound);
  const first = due[0];
  const rise = due.find(({ of }) => of === severity);
  if (kind !== 'duty' || first === undefined || rise === undefined || first.of === severity)
    return severity.charAt(0).toUpperCase() + severity.slice(1);
  return `${first.of === 'advice' ? 'Advice' : `A ${first.of}`} at first, ${severity} from ${day(rise.bound)}`;
}

function dueNext({ offices, due }: Answers, width: number): string[] {
  const room = Math.max(...offices.map(({ config }) => config.name.length)) + 2;
  return offices.flatMap(({ id, config }) => {
    const items = (due.get(id) ?? []).slice(0, 2);
    if (items.length === 0) return labelled(config.name, 'Nothing with a date.', width, room);
    return items.flatMap((item, index) => labelled(index === 0 ? config.name : '', dueLine(item), width, room));
  });
}

function dueLine({ line, tube, text, overdue }: ShownDue): string {
  const where = line ?? tube;
  // Most titles name their line themselves.
  return `${where === undefined || text.includes(where) ? '' : `${where}: `}${text}${overdue ? ' Overdue.' : ''}`;
}
