import type { Alike, Common, Kinship } from '../../engine/alike.js';
import { alikeChoices } from '../../engine/alike.js';

/** Patterns that follow a person are hints and never name one. */
const ofPersons: readonly Kinship[] = ['person', 'hands'];

const names: Record<Kinship, string> = {
  unit: 'one unit',
  person: 'one person who exposed them',
  hands: 'one person who developed them',
  lot: 'one lot of film',
  line: 'one line',
  hour: 'one hour of developing',
};

/** The test that tells two apart that go together on every film. */
const parting: readonly (readonly [Kinship, Kinship, string])[] = [
  [
    'unit',
    'person',
    'Unit and person cannot be told apart from these films: let someone else expose a test object on that unit, and the same person one on another unit; no patient.',
  ],
  [
    'lot',
    'line',
    'Lot and line cannot be told apart from these films: develop a strip of another lot on that line, and one of this lot on another line.',
  ],
  [
    'hands',
    'line',
    'The line and whoever works it cannot be told apart from these films: let someone else develop a strip on it by the chart.',
  ],
  [
    'unit',
    'line',
    'Unit and line cannot be told apart from these films: develop a strip exposed beforehand on that line; it tells of the line alone.',
  ],
];

export function alikeView({ films, others, distinct, common, ofRun }: Alike) {
  const isSurprising = (kinship: Kinship) =>
    common.some((one) => one.kinship === kinship && one.chance < alikeChoices.surprising);
  return {
    ...{ films, others, runs: distinct.run, units: distinct.unit, people: distinct.person },
    ...{ lots: distinct.lot, lines: distinct.line, ...(ofRun !== undefined && { ofRun: { ...ofRun } }) },
    shared: common.map(commonView),
    notes: parting.flatMap(([one, other, text]) =>
      isSurprising(one) &&
      common.some(({ kinship, inseparableFrom }) => kinship === one && inseparableFrom.includes(other))
        ? [text]
        : [],
    ),
  };
}

function commonView({ kinship, value, interval, inseparableFrom, ...numbers }: Common) {
  const { count, total, otherCount, otherTotal, chance } = numbers;
  const isOfPerson = ofPersons.includes(kinship);
  const others = otherTotal === 0 ? 'nothing on record to hold it against' : `${otherCount} of ${otherTotal} others`;
  const word = chance < alikeChoices.surprising ? 'more than chance' : 'no more than chance may give';
  return {
    by: kinship,
    ...(isOfPerson || kinship === 'hour' ? {} : { value }),
    ...numbers,
    ...(interval !== undefined && { interval: [...interval] }),
    isSurprising: chance < alikeChoices.surprising,
    hint: isOfPerson,
    inseparableFrom: [...inseparableFrom],
    text: `${count} of ${total} share ${names[kinship]}; ${others}: ${word}.`,
  };
}
