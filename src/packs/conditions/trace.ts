import { Engine } from 'json-rules-engine';
import type { ConditionProperties, NestedCondition, TopLevelCondition } from 'json-rules-engine';
import type { Condition } from '../model.js';
import { operatorNames } from '../model.js';
import { operators } from '../operators/index.js';
import { otherName } from './compile.js';

/** What json-rules-engine itself makes of a condition. `tree` is its result tree as plain JSON. */
export interface Trace {
  readonly fired: boolean;
  readonly tree: unknown;
}

/**
 * Evaluate one condition with json-rules-engine on a snapshot of the facts it read, by dotted name, ladders under
 * `limit:<id>`. A fresh engine each time: a shared one loses rules when runs overlap. The library knows two values: a
 * leaf that is not known is false there, so its answer holds only where the three-valued one is known, which it then
 * equals.
 */
export async function trace(condition: Condition, snapshot: Readonly<Record<string, unknown>>): Promise<Trace> {
  const engine = new Engine([], { allowUndefinedFacts: true, pathResolver: resolveDotted });
  for (const name of operatorNames) {
    const compare = operators[name];
    engine.removeOperator(name);
    engine.addOperator(name, (fact: unknown, value: unknown) => compare(fact, value) === true);
  }
  for (const [name, value] of Object.entries(snapshot)) if (value !== undefined) engine.addFact(name, value);
  engine.addRule({ conditions: topLevel(condition), event: { type: 'fired' }, name: 'condition' });
  const { results, failureResults } = await engine.run();
  const result = results[0] ?? failureResults[0];
  if (result === undefined) throw new Error('json-rules-engine gave no result for the condition.');
  return { fired: results.length > 0, tree: JSON.parse(JSON.stringify(result.toJSON(false).conditions)) as unknown };
}

/** A rule begins with a group; a single leaf is a group of one. */
function topLevel(condition: Condition): TopLevelCondition {
  const nested = toLibrary(condition);
  return 'fact' in nested ? { all: [nested] } : nested;
}

function toLibrary(condition: Condition): TopLevelCondition | ConditionProperties {
  if ('all' in condition) return { all: condition.all.map(toLibrary) as NestedCondition[] };
  if ('any' in condition) return { any: condition.any.map(toLibrary) as NestedCondition[] };
  if ('not' in condition) return { not: toLibrary(condition.not) as NestedCondition };
  const other = otherName(condition.value);
  return {
    fact: condition.fact,
    operator: condition.operator,
    value: other === undefined ? condition.value : { fact: other },
  };
}

/** A dotted name into a plain value, own properties only. Never the library's default, which evaluates expressions. */
export function resolveDotted(value: unknown, path: string): unknown {
  let here = value;
  for (const part of path.split('.')) {
    if (typeof here !== 'object' || here === null || !Object.hasOwn(here, part)) return undefined;
    here = (here as Record<string, unknown>)[part];
  }
  return here;
}
