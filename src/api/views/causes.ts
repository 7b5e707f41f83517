import type { CausesAnswer, RankedCause } from '../../engine/consult/causes.js';
import { leadingOf, likelihoodWord, othersOf } from '../../engine/consult/likely.js';
import { alikeView } from './alike.js';
import type { Knowledge } from '../../packs/defects.js';

export function causesView(answer: CausesAnswer, knowledge: Knowledge, asked: readonly string[]) {
  const { causes, groups, unknown, first, contradictions } = answer;
  const ranked = causes.map((one) => rankedView(one, asked));
  const named = new Set(ranked.flatMap(({ tables }) => tables));
  const about = new Set(ranked.map(({ cause }) => cause));
  const answered = new Set(causes.flatMap(({ evidence }) => evidence.flatMap(({ clue }) => clue ?? [])));
  return {
    causes: ranked,
    groups: groups.map(({ cause, probability, of }) => ({
      cause: cause.id,
      title: cause.title,
      probability,
      of: [...of],
    })),
    unknown,
    alike: answer.alike && alikeView(answer.alike),
    first: first.map((test) => ({ ...test, of: [...test.of] })),
    open: [...knowledge.clues.values()]
      .filter(
        ({ id, supports, against }) => !answered.has(id) && [...supports, ...against].some((one) => about.has(one)),
      )
      .map(({ id, ask }) => ({ clue: id, ask })),
    tables: [...knowledge.tables.values()]
      .filter(({ id }) => named.has(id))
      .map(({ id, title, url }) => ({ id, title, url })),
    notes: [
      ...contradictions.map(
        ([one, other]) =>
          `${titleOf(knowledge, one)} and ${titleOf(knowledge, other)} do not go together on one film: look again, or ask for each film by itself.`,
      ),
      'Weak chemistry is mended, never made up for by more exposure or by developing by eye.',
    ],
    text: textOf(answer),
  };
}

const titleOf = ({ signs }: Knowledge, id: string) => signs.get(id)?.title ?? id;

function rankedView({ cause, prior, probability, before, evidence, act }: RankedCause, asked: readonly string[]) {
  const { id, title, stage, salvage, affects, retake, test, shows, citation } = cause;
  return {
    ...{
      cause: id,
      title,
      stage,
      prior: { published: cause.prior, now: prior },
      probability,
      before,
      likely: likelihoodWord(probability),
    },
    evidence: evidence.map((one) => ({ ...one })),
    ...{ do: act, salvage, affects, retake: retakeOf(retake), test, citation },
    tables: [...new Set(shows.filter(({ sign }) => asked.includes(sign)).flatMap(({ tables }) => tables))],
  };
}

function retakeOf(retake: 'now' | 'after') {
  return retake === 'now'
    ? { helps: true, text: 'Made again with care it may come out well; the dentist decides.' }
    : {
        helps: false,
        text: 'Made again now it would show the same: mend this first. Exposed packets can wait in the dark.',
      };
}

function textOf(answer: CausesAnswer): string {
  const leading = leadingOf(answer);
  if (leading === undefined) return 'Unknown: nothing that the packs know makes these signs likely.';
  return `${leading.cause.title} is ${likelihoodWord(leading.probability)}${othersOf(answer)}.`;
}
