/**
 * Minutes in the developer by its temperature in whole degrees Fahrenheit, standard chemistry: the chart that the
 * invented offices have on the wall. Source: WAC 246-225-150(1)(a),
 * https://regulations.justia.com/states/washington/title-246/radiation/chapter-246-225/section-246-225-150
 */
const minutesAt: Readonly<Record<number, number>> = {
  64: 6.5,
  65: 6,
  66: 5.5,
  67: 5.5,
  68: 5,
  69: 4.5,
  70: 4.5,
  71: 4,
  72: 4,
  73: 3.5,
  74: 3.5,
};

/** The wall chart's minutes at a whole degree between 64 and 74 F; throws elsewhere. */
export function chartMinutes(degrees: number): number {
  const time = minutesAt[degrees];
  if (time === undefined) throw new RangeError(`the wall chart has no row for ${degrees} F`);
  return time;
}
