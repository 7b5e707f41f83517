import { isSeq } from 'yaml';
import { facts } from '../facts.js';
import type { Message } from '../model.js';
import { condition } from './condition.js';
import { list, mapping, near, optional, required, text } from './decode.js';
import type { Decoder } from './decode.js';
import { oneOf, quoted } from './diagnostic.js';
import type { References } from './references.js';
import { packCaps } from './source.js';
import { fault, within } from './spot.js';
import type { Spot } from './spot.js';

/** Placeholders that stand alone, beside the facts by name. */
export const plainPlaceholders = ['line', 'tube', 'bath', 'day', 'count', 'films', 'due'] as const;
/** Placeholders about a limit: the bound, the distance under or over it, and whose it is. */
export const limitPlaceholders = ['limit', 'short', 'over', 'who'] as const;

const placeholder = /\{([^{}]*)\}/g;

/** One sentence, or variants of which the first that holds is said. */
export function messages(references: References): Decoder<readonly Message[]> {
  const say = sentence(references);
  const variant: Decoder<Message> = (spot) =>
    mapping(spot, { when: optional(condition(references)), say: required(say) })?.whole;
  return (spot) => {
    if (isSeq(spot.node)) {
      const variants = list(variant, (index) => `say ${index + 1}`)(spot);
      return variants?.length === 0 ? fault(spot, 'missing-field', 'say is empty.') : variants;
    }
    const only = say(spot);
    return only === undefined ? undefined : [{ say: only }];
  };
}

/** A text whose placeholders all have something to fill them. */
export function sentence(references: References): Decoder<string> {
  return (spot) => {
    const value = text(spot);
    if (value === undefined) return undefined;
    let whole = true;
    let faults = 0;
    for (const [, name] of value.matchAll(placeholder)) {
      if (known(spot, name ?? '', references)) continue;
      whole = false;
      if (++faults >= packCaps.faultsAPlace || spot.reading.isFull) break;
    }
    const rest = value.replace(placeholder, '');
    if (/[{}]/.test(rest)) {
      whole = false;
      fault(spot, 'placeholder-unknown', 'A brace in a message begins or ends a placeholder; this one has no partner.');
    }
    const groups = value.match(/\[\[|\]\]/g) ?? [];
    if (groups.some((mark, index) => mark !== (index % 2 === 0 ? '[[' : ']]')) || groups.length % 2 !== 0) {
      whole = false;
      fault(spot, 'placeholder-unknown', 'A group [[ ... ]] in a message is not closed, or lies in another.');
    }
    return whole ? value : undefined;
  };
}

/** What a placeholder of a limit might have been meant to be. */
function ofLimit(limit: string | undefined): string[] {
  return limit === undefined ? [] : limitPlaceholders.map((kind) => `${kind}.${limit}`);
}

function known(spot: Spot, placed: string, references: References): boolean {
  const [name = '', ...words] = placed.split('|');
  if (words.length !== 0 && words.length !== 2) {
    const message = `${quoted(`{${placed}}`)} is not a word after a number: write {count|film|films}, the word for 1 and that for the rest.`;
    fault(spot, 'placeholder-unknown', message, { at: within(spot, `{${placed}}`) });
    return false;
  }
  const [, kind, limit] = /^([a-z]+)\.(.+)$/.exec(name) ?? [];
  if (limit !== undefined && limitPlaceholders.some((each) => each === kind) && !facts.has(name)) {
    references.limit(spot, limit, undefined, within(spot, `{${placed}}`));
    return true;
  }
  if (facts.has(name) || plainPlaceholders.some((each) => each === name)) return true;
  const also = `Besides facts by name there are ${oneOf(plainPlaceholders.map((each) => `{${each}}`))}, and ${oneOf(
    limitPlaceholders.map((each) => `{${each}.NAME}`),
  )} for a limit.`;
  fault(spot, 'placeholder-unknown', `Nothing fills ${quoted(`{${name}}`)}. ${also}`, {
    ...near(name, [...facts.keys(), ...plainPlaceholders, ...ofLimit(limit)]),
    at: within(spot, `{${placed}}`),
  });
  return false;
}
