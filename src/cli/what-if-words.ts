import type { whatIfView } from '../api/resources/what-if.js';

type View = ReturnType<typeof whatIfView>;
type Listed = View['added'][number];
type Changed = View['changed'][number];

/** Findings shown of a rule and kind; `--json` has more. */
const examples = 3;

/** A trial as a person reads it. */
export function inWords(view: View, mostCards: number): string {
  const parts = [head(view), ...rules(view), sites(view), unprovable(view), attention(view, mostCards), failed(view)];
  return `${parts.filter((part) => part !== '').join('\n\n')}\n`;
}

function head({ events, sites, counts, from, to }: View): string {
  const range = `${number(events)} events of ${counted(sites, 'site')} up to ${when(to)}`;
  const since = from === undefined ? 'as though the packs had always stood' : `the packs in force from ${when(from)}`;
  const { added, removed, changed } = counts;
  const result =
    added + removed + changed === 0
      ? 'Nothing would have been found otherwise.'
      : `${counted(added, 'finding')} more, ${number(removed)} fewer, ${number(changed)} otherwise.`;
  return `${range}, ${since}.\n${result} Nothing was written.`;
}

function rules({ byRule, added, removed, changed }: View): string[] {
  return byRule.map(({ rule, added: more, removed: fewer, changed: other, differs }) => {
    const said = [
      more > 0 && `${number(more)} more`,
      fewer > 0 && `${number(fewer)} fewer`,
      other > 0 && `${number(other)} otherwise (${inWhat(differs)})`,
    ].filter((one) => one !== false);
    const own = <T extends { readonly rule: string }>(list: readonly T[]) => list.filter((one) => one.rule === rule);
    const lines = [
      ...some(own(added), more, (one) => `  + ${line(one)}`),
      ...some(own(removed), fewer, (one) => `  - ${line(one)}`),
      ...some(own(changed), other, (one) => `  ~ ${changedLine(one)}`),
    ];
    return [`${rule}: ${said.join(', ')}`, ...lines].join('\n');
  });
}

function some<T>(list: readonly T[], all: number, say: (one: T) => string): string[] {
  const shown = list.slice(0, examples);
  return all > shown.length ? [...shown.map(say), `    and ${number(all - shown.length)} more`] : shown.map(say);
}

function line(one: Listed): string {
  return `${when(one.opened)} ${place(one)} ${one.severity}: ${one.message}${behind(one.evidence)}`;
}

function changedLine({ before, after, differs, ...head }: Changed): string {
  const now = `${when(after.opened)} ${place(head)} ${after.severity}: ${after.message}${behind(after.evidence)}`;
  const was = [
    differs.includes('severity') && before.severity,
    differs.includes('opened') && `opened ${when(before.opened)}`,
    differs.includes('closed') &&
      (before.closed === undefined ? before.state : `${before.state} ${when(before.closed)}`),
    before.message !== after.message && `“${before.message}”`,
  ].filter((one) => one !== false);
  return `${now}\n      was: ${was.length > 0 ? was.join(', ') : `otherwise in ${differs.join(', ')}`}`;
}

function place({
  site,
  line,
  tube,
}: {
  readonly site: string;
  readonly line?: string;
  readonly tube?: string;
}): string {
  return [site, line ?? tube].filter((one) => one !== undefined).join(' ');
}

function behind(evidence: Listed['evidence']): string {
  const [first] = evidence;
  if (first === undefined) return ' (no event: something was not done)';
  const others = evidence.length === 1 ? '' : ` and ${evidence.length - 1} more`;
  return ` (${first.type} ${first.source}/${first.id}${others})`;
}

function inWhat(differs: View['byRule'][number]['differs']): string {
  return Object.entries(differs)
    .map(([what, count]) => `${what} ${number(count)}`)
    .join(', ');
}

function sites({ bySite }: View): string {
  if (bySite.length < 2) return '';
  const width = Math.max(...bySite.map(({ site }) => site.length));
  return bySite
    .map(({ site, added, removed, changed }) => `${site.padEnd(width)}  +${added} -${removed} ~${changed}`)
    .join('\n');
}

function unprovable({ unprovable: gaps }: View): string {
  if (gaps.length === 0) return '';
  const lines = gaps.map(({ rule, why, sites, asked, missing, send }) => {
    const at = `at ${counted(sites, 'site')}`;
    const words = send.join(', ');
    switch (why) {
      case 'noEvent':
        return `  ${rule}: nothing it listens to was ever recorded ${at}; send ${words}.`;
      case 'neverDone':
        return `  ${rule}: nothing that would meet it was ever recorded ${at}, so what it finds may be a lack of records; send ${words}.`;
      case 'notEvaluable':
        return `  ${rule}: not evaluable ${at}, asked ${counted(asked, 'time')}: no ${missing.map(({ fact }) => fact).join(', no ')}; send ${words}.`;
    }
  });
  return ['What this history cannot show:', ...lines].join('\n');
}

function attention(
  { attention: { offices, weeks, cardsPerWeek, holdsPerWeek, busiest, overBudget } }: View,
  most: number,
): string {
  if (offices === 0) return '';
  const { before, after } = cardsPerWeek;
  const top =
    busiest === undefined ? '' : ` Most at ${busiest.site}: ${busiest.before} before, ${busiest.after} after.`;
  const verdict = overBudget ? ` That is more than the ${most} that an office should get.` : '';
  const holds =
    holdsPerWeek.before + holdsPerWeek.after === 0
      ? ''
      : ` Holds, which come on top: ${holdsPerWeek.before} before, ${holdsPerWeek.after} after.`;
  return `New cards of these rules a week and an office, over ${counted(offices, 'office')} and up to ${weeks} ${weeks === 1 ? 'week' : 'weeks'} with records: ${before} before, ${after} after.${top}${verdict}${holds}`;
}

function failed({ failed: sites }: View): string {
  return sites.map(({ site, reason }) => `Could not be tried: ${site}. ${reason}`).join('\n');
}

function when(text: string): string {
  return `${text.slice(0, 10)} ${text.slice(11, 16)}Z`;
}

function number(count: number): string {
  return count.toLocaleString('en');
}

function counted(count: number, what: string): string {
  return `${number(count)} ${what}${count === 1 ? '' : 's'}`;
}
