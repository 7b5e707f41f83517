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

/** The whole summary, as lines of at most `width` columns. */
export function summary(answers: Answers, width: number): string[] {
  return [
    'FINDINGS OF THE SEASON',
    ...counted(answers),
    '',
    'THE THREE THAT MATTER MOST, as the darkroom door read them',
    ...mostImportant(answers.findings, 3).flatMap((finding) => ['', ...fourLines(finding, answers.offices, width)]),
    '',
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

/** State; what it is, with its numbers; what to do now; the next test. */
function fourLines(finding: ShownFinding, offices: readonly Office[], width: number): string[] {
  const office = offices.find(({ id }) => id === finding.site);
  const where = [office?.config.name ?? finding.site, finding.line ?? finding.tube].filter(isText).join(' ');
  const level = finding.hold === undefined ? 'CHECK' : 'HOLD';
  // Of a hold that is over, what it began with; else what was said last.
  const over = !isOpen(finding) && finding.hold !== undefined;
  return [
    ...labelled(level, `${where} (${finding.severity}), ${lifeOf(finding, office?.config.zone ?? 'utc')}`, width),
    ...labelled('What', (over ? finding.said[0]?.message : undefined) ?? finding.message, width),
    ...labelled('Now', finding.advise ?? 'Nothing more.', width),
    ...labelled('Test', finding.retest ?? 'None is asked for.', width),
  ];
}

const isText = (part: string | undefined): part is string => part !== undefined;

const endedBy: Readonly<Record<string, string>> = {
  'stepwedge.read': 'a strip came out within its limit',
  'chemistry.changed': 'the chemistry was changed',
  'bath.measured': 'the bath was read',
  'film.refixed': 'the films were fixed and washed',
};

/** "Wed 11 Feb 07:58 to 13:45. Now clear: a strip came out within its limit." */
function lifeOf({ openedAt, closedAt, closedBy, films }: ShownFinding, zone: string): string {
  const opened = DateTime.fromISO(openedAt, { zone });
  const begun = opened.toFormat('ccc d LLL HH:mm');
  const concerned = films > 0 ? `, ${films} ${films === 1 ? 'film' : 'films'}` : '';
  if (closedAt === undefined) return `open since ${begun}${concerned}.`;
  const closed = DateTime.fromISO(closedAt, { zone });
  const until = closed.toFormat(closed.hasSame(opened, 'day') ? 'HH:mm' : 'ccc d LLL HH:mm');
  const why = endedBy[closedBy?.type ?? ''];
  return `${begun} to ${until}${concerned}. Now clear${why === undefined ? '' : `: ${why}`}.`;
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
