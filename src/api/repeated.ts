import { visit } from 'jsonc-parser';
import type { JsonOutline } from './json.js';
import type { ProblemFault } from './problems.js';

/** Faults listed of one thing. */
const most = 20;
/** Bytes that are read once more to say where a field is twice; a larger body would hold up everybody else's. */
const mostRead = 1024 * 1024;

/**
 * Fields that an object of the body has twice. JSON.parse takes the last one without a word; which of the two was meant
 * nobody can know. Counting costs a twentieth of parsing; only when the count differs are the bytes read once more.
 * @param value what was parsed of the bytes.
 * @returns at most twenty of the body or, for a list, of each of its elements, in their order.
 */
export function repeatedNames(bytes: Uint8Array, value: unknown, shape: JsonOutline): ProblemFault[] {
  if (fields(value) === shape.members) return [];
  const list = Array.isArray(value);
  if (bytes.length > mostRead) {
    const own = (at: number) => (shape.membersUpTo?.[at] ?? 0) - (shape.membersUpTo?.[at - 1] ?? 0);
    const whole = list ? value.flatMap((item, at) => (fields(item) === own(at) ? [] : [`/${at}`])) : [''];
    const message = 'has a field twice in one of its objects; write it once';
    return whole.map((pointer) => ({ pointer, code: 'repeated-field', message }));
  }
  const names: Set<string>[] = [];
  const said = new Map<string, Set<string>>();
  visit(new TextDecoder().decode(bytes), {
    onObjectBegin: () => void names.push(new Set()),
    onObjectEnd: () => void names.pop(),
    onObjectProperty(name, _offset, _length, _line, _column, path) {
      const own = names.at(-1);
      if (own === undefined || !own.has(name)) return void own?.add(name);
      const where = path();
      const whole = list ? String(where[0]) : '';
      const pointers = said.get(whole) ?? new Set();
      said.set(whole, pointers);
      if (pointers.size < most) pointers.add([...where, name].map((part) => `/${escaped(part)}`).join(''));
    },
  });
  const all = [...said.values()].flatMap((pointers) => [...pointers]);
  return all.map((pointer) => ({ pointer, code: 'repeated-field', message: 'is written twice; write it once' }));
}

/** How many fields all objects of a value have. Its nesting is capped before. */
function fields(value: unknown): number {
  if (typeof value !== 'object' || value === null) return 0;
  let count = 0;
  if (Array.isArray(value)) {
    for (const item of value) count += fields(item);
    return count;
  }
  for (const name in value) count += 1 + fields((value as Record<string, unknown>)[name]);
  return count;
}

/** A part of a JSON pointer, short: a name may be as long as the body. */
function escaped(part: string | number): string {
  return String(part).slice(0, 64).replaceAll('~', '~0').replaceAll('/', '~1');
}
