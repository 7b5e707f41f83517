import { compileCondition } from '../conditions/compile.js';
import { fieldsOf } from '../eventFields.js';
import { facts } from '../facts.js';
import { rateFacts, trendFacts } from '../followed-facts.js';
import type { Condition, Selector, TopicKind } from '../model.js';
import { dutyFacts, keptFacts } from '../supply.js';
import { oneOf } from './diagnostic.js';
import { fault, within } from './spot.js';
import type { Spot } from './spot.js';

/**
 * A fact that comes with its event alone is never there at another: a check that listens to none of its events could not
 * be judged by it, ever (law L19). Facts that stay known are there at any event.
 * @param on the event types the check listens to; a rate listens to none.
 * @param of what the rule follows, which has facts of its own.
 */
export function heard(spot: Spot, condition: Condition, on: readonly string[], of?: 'trend' | 'rate'): void {
  for (const name of compileCondition(condition).reads) {
    const known = facts.get(name);
    if (known === undefined || (keptFacts.has(name) && of !== 'rate')) continue;
    const at = { at: within(spot, name) };
    const followed = trendFacts.has(name) ? 'trend' : rateFacts.has(name) ? 'rate' : undefined;
    if (followed !== undefined && followed === of) continue;
    if (followed !== undefined)
      fault(spot, 'not-evaluable-ever', `${name} is of a ${followed}, under ${followed}s: no other rule knows it.`, at);
    else if (of === 'rate')
      fault(
        spot,
        'not-evaluable-ever',
        `At the end of a day nobody says ${name}; a rate knows ${oneOf([...rateFacts])}.`,
        at,
      );
    else if (dutyFacts.has(name))
      fault(spot, 'not-evaluable-ever', `${name} is of duties, for their messages; no check knows it.`, at);
    else if (!comes(name, on))
      fault(
        spot,
        'not-evaluable-ever',
        `${name} comes with ${oneOf(known.fedBy)} only; a check on ${oneOf(on)} could never be judged by it.`,
        at,
      );
  }
}

/** Whether a check on these event types can ever know a fact. */
export function comes(fact: string, on: readonly string[]): boolean {
  if (dutyFacts.has(fact) || trendFacts.has(fact) || rateFacts.has(fact)) return false;
  return keptFacts.has(fact) || facts.get(fact)?.fedBy.some((type) => on.includes(type)) === true;
}

const has = (type: string, field: string) => fieldsOf(type).some(({ name }) => name === field);

/** The fields by which an event names the thing that a finding is about; none where every event will do. */
function fieldsNaming(about: TopicKind): readonly string[] {
  if (about === 'fill') return ['line', 'bath'];
  return ['line', 'tube', 'lot', 'instrument', 'mount'].filter((each) => each === about);
}

/** A finding is put to the name of a thing: an event that never names one could find what it likes. */
export function named(spot: Spot, about: TopicKind, on: readonly string[]): void {
  const wanted = fieldsNaming(about);
  const without = on.filter((type) => !wanted.every((field) => has(type, field)));
  if (without.length === 0) return;
  const field = wanted.find((each) => without.some((type) => !has(type, each))) ?? about;
  fault(
    spot,
    'not-evaluable-ever',
    `${oneOf(without)} never names a ${field}: what is found there could not be said of a ${about}.`,
  );
}

type Word = keyof Selector;

/** Whether an event of a type can say, by itself or by its line, what a selector asks for. */
function knows(type: string, word: Word): boolean {
  // The thermometer of an opening round stands in the developer.
  if (word === 'bath') return has(type, 'bath') || type === 'day.opened';
  return has(type, 'line') || (word === 'method' && has(type, 'method'));
}

/** The word of a selector that an event of this type never answers. */
export function unanswered(selector: Selector, type: string): Word | undefined {
  return (Object.keys(selector) as Word[]).find((word) => selector[word] !== undefined && !knows(type, word));
}

/** Events that a check is never for: it is not looked at there, and nobody is told. */
export function reached(spot: Spot, selector: Selector, on: readonly string[]): void {
  for (const type of on) {
    const word = unanswered(selector, type);
    if (word === undefined) continue;
    const message = `${type} says nothing of ${word === 'bath' ? 'a bath' : `the ${word}`}: a check for one is never judged there.`;
    fault(spot, 'not-evaluable-ever', message);
  }
}
