import type { Condition, Leaf, Operand } from '../model.js';
import { operators } from '../operators/index.js';
import { ladderName } from './types.js';
import type { Read, Tri } from './types.js';

/** A condition as closures: synchronous, three-valued, without allocation when it is evaluated. */
export interface CompiledCondition {
  /** Undefined: not evaluable, a fact is missing that could decide it. */
  evaluate(read: Read): Tri;
  /**
   * What left it open: the missing facts of its unknown leaves, and their ladders as `limit:<id>`, which may lack facts
   * of their own; decided parts left out.
   */
  missing(read: Read): string[];
  /** Every fact, and every limit as `limit:<id>`, in the tree; each once. */
  readonly reads: readonly string[];
}

interface Part {
  evaluate(read: Read): Tri;
  /** Called only when the part is unknown. */
  collect(read: Read, into: Set<string>): void;
}

export function compileCondition(condition: Condition): CompiledCondition {
  const reads = new Set<string>();
  const root = compile(condition, reads);
  return {
    evaluate: root.evaluate,
    missing: (read) => {
      const into = new Set<string>();
      if (root.evaluate(read) === undefined) root.collect(read, into);
      return [...into];
    },
    reads: [...reads],
  };
}

/** The facts that left a condition open; see `CompiledCondition.missing`. */
export function missingFacts(condition: Condition, read: Read): string[] {
  return compileCondition(condition).missing(read);
}

function compile(condition: Condition, reads: Set<string>): Part {
  if ('all' in condition) return group(condition.all, false, reads);
  if ('any' in condition) return group(condition.any, true, reads);
  if ('not' in condition) return not(compile(condition.not, reads));
  return leaf(condition, reads);
}

/** `all` is decided by one false part, `any` by one true part; otherwise an unknown part leaves it open. */
function group(conditions: readonly Condition[], decisive: boolean, reads: Set<string>): Part {
  const parts = conditions.map((each) => compile(each, reads));
  return {
    evaluate: (read) => {
      let result: Tri = !decisive;
      for (let index = 0; index < parts.length; index++) {
        const part = (parts[index] as Part).evaluate(read);
        if (part === decisive) return decisive;
        if (part === undefined) result = undefined;
      }
      return result;
    },
    collect: (read, into) => {
      for (const part of parts) if (part.evaluate(read) === undefined) part.collect(read, into);
    },
  };
}

function not({ evaluate, collect }: Part): Part {
  return {
    evaluate: (read) => {
      const result = evaluate(read);
      return result === undefined ? undefined : !result;
    },
    collect,
  };
}

function leaf({ fact, operator, value }: Leaf, reads: Set<string>): Part {
  const compare = operators[operator];
  reads.add(fact);
  const other = otherName(value);
  if (other !== undefined) reads.add(other);
  return {
    evaluate: other === undefined ? (read) => compare(read(fact), value) : (read) => compare(read(fact), read(other)),
    collect: (read, into) => {
      if (read(fact) === undefined) into.add(fact);
      if (other !== undefined && (other.startsWith('limit:') || read(other) === undefined)) into.add(other);
    },
  };
}

/** The name that an operand is read by; undefined for a literal. */
export function otherName(value: Operand): string | undefined {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return undefined;
  if ('fact' in value) return value.fact;
  return 'limit' in value ? ladderName(value.limit) : undefined;
}
