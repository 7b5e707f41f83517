import { facts } from './facts.js';
import type { Bound, Limit, Period, Quantity } from './model.js';

/** Bounds in words, as their authors wrote them. */

const unitWords: Readonly<Record<string, string>> = { '[degF]': ' F', Cel: ' C', '1': '' };

/** A quantity as its author wrote it: "60 F", "3 min", "0.05". */
export function sayQuantity({ value, unit }: Pick<Quantity, 'value' | 'unit'>): string {
  return `${value}${unitWords[unit] ?? ` ${unit}`}`;
}

/** A bound that multiplies a fact: "2 × time for an unexposed film to clear". */
export function sayTimes({ times, fact }: { readonly times: number; readonly fact: string }): string {
  return `${times} × ${facts.get(fact)?.meaning ?? fact}`;
}

const periodWords: Record<Period['unit'], string> = { mo: 'month', wk: 'week', d: 'day', h: 'h', min: 'min' };
export function sayPeriod({ count, unit }: Period): string {
  const word = periodWords[unit];
  return unit === 'h' || unit === 'min' ? `${count} ${word}` : `${count} ${word}${count === 1 ? '' : 's'}`;
}

/** "at most 2 months", "at least the chart us-wa/manual-chart". */
export function sayBound(side: 'min' | 'max', bound: Bound): string {
  return `${side === 'min' ? 'at least' : 'at most'} ${sayBare(bound)}`;
}

/** Both sides of a limit, those that it has. */
export function sayBoundsOf({ min, max }: Pick<Limit, 'min' | 'max'>): string {
  return [min && sayBound('min', min), max && sayBound('max', max)].filter(Boolean).join(' and ');
}

/** Without its side: "2 months", "the chart us-wa/manual-chart and 30 s". */
export function sayBare(bound: Bound): string {
  switch (bound.kind) {
    case 'quantity':
      return sayQuantity(bound.quantity);
    case 'period':
      return sayPeriod(bound.period);
    case 'fact':
      return sayTimes(bound);
    case 'chart': {
      const { plus } = bound;
      if (plus === undefined || plus.value === 0) return `the chart ${bound.chart}`;
      const distance = sayQuantity({ ...plus, value: Math.abs(plus.value) });
      return `the chart ${bound.chart} ${plus.value < 0 ? 'less' : 'and'} ${distance}`;
    }
  }
}
