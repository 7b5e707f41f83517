import { severities } from '../model.js';
import type { Citation, Condition, Message, RuleTest, Selector, Severity } from '../model.js';
import { optional, required, text, word } from './decode.js';
import type { Mapping } from './decode.js';
import { cite, lawNeedsText } from './limits.js';
import { messages, sentence } from './messages.js';
import type { References } from './references.js';
import { ruleTests } from './tests.js';
import { deprecated, warnDeprecated } from './deprecated.js';
import { citation, id, selector } from './values.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/** What the file says once for all its rules. */
export interface PackContext {
  /** The pack's id; absent when it was faulty. */
  readonly pack: string | undefined;
  readonly source: Citation | undefined;
  readonly references: References;
}

/** The fields that all rules share; a rate speaks of no line, and so has no `for`. */
export function ruleShape(context: PackContext) {
  return {
    id: required(id),
    title: required(text),
    for: optional(selector),
    cause: optional(id),
    say: required(messages(context.references)),
    advise: optional(sentence(context.references)),
    retest: optional(sentence(context.references)),
    caution: optional(sentence(context.references)),
    severity: optional(word(severities)),
    citation: optional(citation),
    deprecated: optional(deprecated((spot, name) => context.references.rule(spot, name))),
    tests: optional(ruleTests(context)),
  };
}
type RuleShape = ReturnType<typeof ruleShape>;

/** The shared part of a rule, after the checks that concern several of its fields; undefined when one failed. */
export function ruleBase<S extends Omit<RuleShape, 'for'>>(
  spot: Spot,
  got: Mapping<S>,
  namesLimit: boolean | undefined,
  context: PackContext,
) {
  const { values } = got as unknown as Mapping<RuleShape>;
  if (values.id !== undefined && context.pack !== undefined)
    context.references.define('rule', got.at('id'), `${context.pack}/${values.id}`);
  if (values.cause !== undefined) context.references.define('cause', got.at('cause'), values.cause);
  if (values.deprecated !== undefined) warnDeprecated(got.at('deprecated'), spot.name, values.deprecated);
  const severity = severityOf(spot, got as unknown as Mapping<RuleShape>, namesLimit);
  const cited = cite(spot, values.citation, context.source, got.has('citation'));
  if (severity !== undefined) lawNeedsText(got.at('severity'), severity, cited);
  const tests = enoughTests(got.has('tests') ? got.at('tests') : spot, spot.name, got.has('tests') ? values.tests : []);
  if (values.id === undefined || values.title === undefined || values.say === undefined) return undefined;
  if (cited === undefined || tests === undefined) return undefined;
  return {
    id: `${context.pack ?? ''}/${values.id}`,
    title: values.title,
    for: values.for ?? ({} as Selector),
    messages: values.say as readonly Message[],
    ...(values.cause === undefined ? {} : { cause: values.cause }),
    ...(values.advise === undefined ? {} : { advise: values.advise }),
    ...(values.retest === undefined ? {} : { retest: values.retest }),
    ...(values.caution === undefined ? {} : { caution: values.caution }),
    ...(severity === undefined ? {} : { severity }),
    citation: cited,
    tests,
    ...(values.deprecated === undefined ? {} : { deprecated: values.deprecated }),
  };
}

/** A severity belongs to the limit that a rule names, and to the rule only when it names none. */
function severityOf(spot: Spot, got: Mapping<RuleShape>, namesLimit: boolean | undefined): Severity | undefined {
  if (namesLimit === true && got.has('severity'))
    return fault(
      got.at('severity'),
      'severity-conflict',
      `${spot.name} names a limit, which carries the severity; leave it out here.`,
    );
  if (namesLimit === false && !got.has('severity'))
    return fault(spot, 'severity-conflict', `${spot.name} names no limit, so it needs a severity of its own.`);
  return got.values.severity;
}

function enoughTests(
  spot: Spot,
  name: string,
  tests: readonly RuleTest[] | undefined,
): readonly RuleTest[] | undefined {
  // A fault inside the tests is already told.
  if (tests === undefined) return undefined;
  const missing = (['fires', 'silent', 'boundary'] as const).filter(
    (kind) => !tests.some((test) => test.kind === kind),
  );
  if (missing.length === 0) return tests;
  return fault(
    spot,
    'tests-missing',
    `${name} has no test of the kind ${missing.join(', ')}; it needs one that fires, one silent, one at the boundary.`,
  );
}

/** Whether a condition holds a fact against a limit. */
export function namesLimit(condition: Condition): boolean {
  if ('all' in condition) return condition.all.some(namesLimit);
  if ('any' in condition) return condition.any.some(namesLimit);
  if ('not' in condition) return namesLimit(condition.not);
  const { value } = condition;
  return typeof value === 'object' && value !== null && 'limit' in value;
}
