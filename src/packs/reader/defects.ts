import { signs as knownSigns } from '../../events/signs.js';
import { howOftenWords } from '../../radiography/defects/likelihood.js';
import { stages } from '../model.js';
import type {
  CauseEvidence,
  ConfirmedCause,
  DefectCause,
  DefectClue,
  Defects,
  DefectSign,
  DefectTable,
  Shown,
} from '../model.js';
import { condition } from './condition.js';
import { list, mapping, near, number, oneOrMore, optional, required, text, word } from './decode.js';
import type { Decoder, Field } from './decode.js';
import { quoted } from './diagnostic.js';
import { heard } from './heard.js';
import { cite } from './limits.js';
import { sentence } from './messages.js';
import type { PackContext } from './rules.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';
import { citation, quantity } from './values.js';

/** Ids of signs, causes, tables and clues: as the event catalogue writes its signs. */
const name: Decoder<string> = (spot) => {
  const value = text(spot);
  if (value === undefined || (/^[A-Za-z0-9]+(_[A-Za-z0-9]+)*$/.test(value) && value.length <= 60)) return value;
  return fault(spot, 'bad-name', `${quoted(value)} is not a name: letters, digits and "_" between words.`);
};

const share: Decoder<number> = (spot) => {
  const read = quantity(spot);
  if (read === undefined) return undefined;
  if (read.unit !== '%') return fault(spot, 'unit-mismatch', `${spot.name} is a share, in %.`);
  if (read.canonical > 0 && read.canonical <= 50) return read.canonical / 100;
  return fault(spot, 'defect-wrong', `${spot.name} is above 0 % and at most 50 %, not ${read.value} %.`);
};

const factor: Decoder<number> = (spot) => {
  const value = number(spot);
  if (value === undefined || (value >= 0.01 && value <= 100)) return value;
  return fault(spot, 'defect-wrong', `${spot.name} is a factor of odds, 0.01 to 100, not ${value}.`);
};

const minutes: Decoder<number> = (spot) => {
  const value = number(spot);
  if (value === undefined || (value > 0 && value <= 600)) return value;
  return fault(spot, 'defect-wrong', `${spot.name} is above 0 and at most 600, not ${value}.`);
};

/** An answer of no says less than one of yes: many things may hide a clue. Our choice. */
const usualOtherwise = 0.8;

const sign: Decoder<(typeof knownSigns)[number]> = (spot) => {
  const value = text(spot);
  if (value === undefined) return undefined;
  const known = knownSigns.find((each) => each === value);
  return (
    known ?? fault(spot, 'unknown-word', `${quoted(value)} is no sign that an event can name.`, near(value, knownSigns))
  );
};

/** Events at which a film is judged: what evidence can be read at. */
const judgedOn = ['film.reviewed'];

export function defectFields(context: PackContext) {
  const { references, source } = context;
  const named = <T>(kind: string, read: Decoder<T>): Field<readonly T[], false> =>
    optional(
      list(
        (item) => read(item),
        (index) => `${kind} ${index + 1}`,
      ),
    );
  const define = (kind: 'table' | 'defect', spot: Spot, id: string | undefined) => {
    if (id !== undefined) references.define(kind, spot, id);
  };
  const naming =
    (kind: 'table' | 'defect'): Decoder<string> =>
    (spot) => {
      const value = name(spot);
      if (value !== undefined) references.defect(kind, spot, value);
      return value;
    };

  const table: Decoder<DefectTable> = (spot) => {
    const got = mapping(spot, {
      id: required(name),
      title: required(text),
      url: optional(text),
      lineage: required(text),
    });
    if (got !== undefined) define('table', got.at('id'), got.values.id);
    return got?.whole;
  };

  const shown: Decoder<Shown> = (spot) => {
    const got = mapping(spot, {
      sign: required(sign),
      tables: optional(oneOrMore(naming('table'))),
      often: optional(word(howOftenWords)),
    });
    if (got?.whole === undefined) return undefined;
    if (got.has('tables') || got.has('often')) return { ...got.whole, tables: got.whole.tables ?? [] };
    return fault(
      spot,
      'defect-wrong',
      `${spot.name} says who says so: tables that list it, or often, as the trade does.`,
    );
  };

  const evidence: Decoder<CauseEvidence> = (spot) => {
    const got = mapping(spot, {
      when: required(condition(references)),
      ratio: required(factor),
      say: required(sentence(references)),
    });
    if (got?.values.when !== undefined) heard(got.at('when'), got.values.when, judgedOn);
    return got?.whole;
  };

  const cause: Decoder<DefectCause> = (spot) => {
    const got = mapping(spot, {
      id: required(name),
      title: required(text),
      stage: required(word(stages)),
      prior: optional(share),
      affects: required(word(['film', 'run'])),
      retake: required(word(['now', 'after'])),
      act: required(sentence(references)),
      salvage: optional(text),
      test: optional((at) => mapping(at, { say: required(text), minutes: required(minutes) })?.whole),
      after: optional(oneOrMore(naming('defect'))),
      of: optional(oneOrMore(naming('defect'))),
      shows: optional(list(shown, (index) => `sign ${index + 1}`)),
      evidence: optional(list(evidence, (index) => `evidence ${index + 1}`)),
      citation: optional(citation),
    });
    if (got === undefined) return undefined;
    define('defect', got.at('id'), got.values.id);
    const cited = cite(spot, got.values.citation, source, got.has('citation'));
    if (!got.has('of') && (!got.has('prior') || !got.has('shows')))
      return fault(spot, 'missing-field', `${spot.name} needs prior and shows, or of: the causes it is a name for.`);
    if (got.whole === undefined || cited === undefined) return undefined;
    const { prior = 0, shows = [], evidence: own = [], ...rest } = got.whole;
    return { ...rest, prior, shows, evidence: own, citation: cited };
  };

  const clue: Decoder<DefectClue> = (spot) => {
    const got = mapping(spot, {
      id: required(name),
      ask: required(text),
      when: optional(condition(references)),
      say: optional(sentence(references)),
      supports: required(oneOrMore(naming('defect'))),
      against: optional(oneOrMore(naming('defect'))),
      ratio: required(factor),
      otherwise: optional(factor),
      citation: optional(citation),
    });
    if (got === undefined) return undefined;
    if (got.values.when !== undefined) heard(got.at('when'), got.values.when, judgedOn);
    const cited = cite(spot, got.values.citation, source, got.has('citation'));
    if (got.whole === undefined || cited === undefined) return undefined;
    const { against = [], otherwise = usualOtherwise, ...rest } = got.whole;
    return { ...rest, against, otherwise, citation: cited };
  };

  const weight: Decoder<number> = (spot) => {
    const value = number(spot);
    if (value === undefined || (value > 0 && value <= 1e6)) return value;
    return fault(spot, 'defect-wrong', `${spot.name} is above 0 and at most a million, not ${value}.`);
  };
  const confirmed: Decoder<ConfirmedCause> = (spot) =>
    mapping(spot, { cause: required(naming('defect')), weight: required(weight) })?.whole;

  const described: Decoder<DefectSign> = (spot) =>
    mapping(spot, {
      id: required(sign),
      title: required(text),
      about: required(text),
      excludes: optional(oneOrMore(sign)),
    })?.whole;

  return {
    tables: named('table', table),
    signs: named('sign', described),
    causes: named('cause', cause),
    clues: named('clue', clue),
    confirmed: named('confirmed cause', confirmed),
  };
}

/** What a pack says of faults of films; nothing where it says nothing. */
export function defectsOf({ tables = [], signs = [], causes = [], clues = [], confirmed }: Partial<Defects>): {
  defects?: Defects;
} {
  const said = [tables, signs, causes, clues, confirmed ?? []].some(({ length }) => length > 0);
  return said ? { defects: { tables, signs, causes, clues, ...(confirmed && { confirmed }) } } : {};
}
