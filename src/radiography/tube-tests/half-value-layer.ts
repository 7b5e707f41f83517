import { atLeast, same } from '../../events/units.js';
import { refuse, type Answer, type Refusal } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/**
 * Least half-value layer, mm of aluminium, by measured kV: the federal table as Illinois prints it (32 IAC 360 Table B,
 * http://ilrules.elaws.us/iac/t32_pt360_sec.360.tableb). The first column is for intraoral units made after
 * 1 December 1980, the second for all others.
 */
const table: readonly (readonly [kV: number, intraoral: number, other: number])[] = [
  [30, 1.5, 0.3],
  [40, 1.5, 0.4],
  [49, 1.5, 0.5],
  [50, 1.5, 1.2],
  [60, 1.5, 1.3],
  [70, 1.5, 1.5],
  [71, 2.1, 2.1],
  [80, 2.3, 2.3],
  [90, 2.5, 2.5],
  [100, 2.7, 2.7],
  [110, 3, 3],
  [120, 3.2, 3.2],
  [130, 3.5, 3.5],
  [140, 3.8, 3.8],
  [150, 4.1, 4.1],
];

/**
 * The last rows of the lower design operating ranges: where the table steps behind one, no line leads across. The one
 * from 70 to 71 is told with the table; that the second column breaks between 49 and 50 too is our reading of its rows.
 */
const steps = [49, 70];

/** The table begins at 30 kV. How far it is drawn out beyond: to 20 kV, as its own example does (0.2 mm at 20 kV). */
const reach = { from: 20, to: 150 };

export type BeamColumn = 'intraoral' | 'other';

/** The last day of make of units that the second column is for. */
export const olderUnits = '1980-12-01';

/** @param made local date of make, 1980-12-02; a unit made on the day itself is not made after it */
export function beamColumn(isIntraoral: boolean, made: string): Answer<BeamColumn> {
  if (!/^\d{4}-\d\d-\d\d$/.test(made) || Number.isNaN(Date.parse(made)))
    return refuse('not-a-date', 'made', `${made} is not a date such as 1980-12-02.`);
  return isIntraoral && made > olderUnits ? 'intraoral' : 'other';
}

/**
 * Least half-value layer by tube voltage: the row, else the straight line between two rows. Where the table steps from
 * one design operating range to the next (between 70 and 71 kV, and 49 and 50 in the second column) it gives no value.
 *
 * @param voltage measured, kV
 * @returns mm of aluminium
 */
export function leastHalfValueLayer(voltage: number, column: BeamColumn): Answer<number> {
  if (!(voltage >= reach.from && voltage <= reach.to))
    return refuse(
      'outside-table',
      'voltage',
      `The table runs from ${reach.from} to ${reach.to} kV; ${voltage} is outside.`,
    );
  const rows = table.map(([kV, intraoral, other]) => ({ kV, least: column === 'intraoral' ? intraoral : other }));
  const exact = rows.find(({ kV }) => same(kV, voltage));
  if (exact !== undefined) return exact.least;
  // Below the first row the line of the first two is drawn on.
  const above = Math.max(
    1,
    rows.findIndex(({ kV }) => kV > voltage),
  );
  const [low, high] = [rows[above - 1], rows[above]] as [Row, Row];
  if (steps.includes(low.kV) && low.least !== high.least)
    return refuse(
      'between-ranges',
      'voltage',
      `${voltage} kV lies where the table steps, between ${low.kV} and ${high.kV}.`,
    );
  return low.least + ((high.least - low.least) * (voltage - low.kV)) / (high.kV - low.kV);
}

interface Row {
  readonly kV: number;
  readonly least: number;
}

/** @returns whether a measured half-value layer is enough; at the edge it is */
export function isFiltered(measured: number, voltage: number, column: BeamColumn): Answer<boolean> {
  const wrong = notAbove0({ measured });
  if (wrong !== undefined) return wrong;
  const least = leastHalfValueLayer(voltage, column);
  return typeof least === 'number' ? atLeast(measured, least) : least;
}

/** One reading behind a filter: mm of aluminium added, output in any one unit. */
export interface Filtered {
  readonly filter: number;
  readonly output: number;
}

/**
 * Half-value layer from readings behind growing filters: where the output falls to half of the bare beam's, on the
 * straight line through the logarithms of the two readings beside it. A beam hardens as it is filtered, so that line lies
 * above the curve and errs towards passing: the two must be near the half (our choice: from three quarters to a third).
 *
 * @param readings one without a filter among them, one at or below half, each thicker filter letting less through
 * @returns mm of aluminium
 */
export function halfValueLayer(readings: readonly Filtered[]): Answer<number> {
  const sorted = [...readings].sort((a, b) => a.filter - b.filter);
  const bare = sorted[0];
  const wrong =
    notAbove0(Object.fromEntries(sorted.map(({ output }, index) => [`output[${index}]`, output]))) ?? unsteady(sorted);
  if (wrong !== undefined) return wrong;
  if (bare === undefined) return noBareBeam;
  const at = sorted.findIndex(({ output }) => output <= bare.output / 2);
  const [before, after] = [sorted[at - 1], sorted[at]];
  if (before === undefined || after === undefined)
    return refuse('above-half', 'readings', 'No filter brings the output down to half; add a thicker one.');
  if (before.output > 0.75 * bare.output || after.output < bare.output / 3)
    return refuse('too-far-apart', 'readings', 'No two readings lie near the half; take filters closer to it.');
  const [from, to] = [Math.log(before.output / bare.output), Math.log(after.output / bare.output)];
  return before.filter + ((after.filter - before.filter) * (Math.log(0.5) - from)) / (to - from);
}

const noBareBeam = refuse('no-bare-beam', 'readings', 'One reading must be without any added filter.');

/** Each filter thicker than the last, each output lower. */
function unsteady(sorted: readonly Filtered[]): Refusal | undefined {
  if (sorted[0]?.filter !== 0) return noBareBeam;
  for (const [index, after] of sorted.entries()) {
    const before = sorted[index - 1];
    if (before === undefined) continue;
    if (!(after.filter > before.filter && Number.isFinite(after.filter)))
      return refuse('not-rising', 'readings', 'Each reading needs a filter of its own, thicker than the last.');
    if (after.output >= before.output)
      return refuse(
        'not-falling',
        'readings',
        `Behind ${after.filter} mm no less comes through than behind ${before.filter} mm.`,
      );
  }
  return undefined;
}
