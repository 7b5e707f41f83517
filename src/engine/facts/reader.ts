import type { Moment } from '../moment.js';

/** A fact's value at a moment, in its canonical unit; undefined when nobody has said. */
export type FactReader = (moment: Moment) => unknown;
