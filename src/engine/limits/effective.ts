import type { Chart, ChartRow, Citation, Deprecated, Layer, Lookup, Severity } from '../../packs/model.js';
import type { Side } from '../../packs/strictness.js';

/** A limit as it stands for one line: every layer's word, the binding ones first. */
export interface EffectiveLimit {
  readonly limit: string;
  readonly of: string;
  readonly meaning: string;
  readonly unit?: string | undefined;
  readonly line?: string | undefined;
  /** Empty where nobody speaks at present, but soon will, or lately did. */
  readonly chain: readonly ChainLink[];
  /** On each side, and of each bath where they differ, the one that is nowhere looser; left out where that depends. */
  readonly strictest: readonly Strictest[];
  /** Two that cannot both be kept: both citations. */
  readonly conflict?: readonly string[] | undefined;
  /** What begins to hold within the next 60 days. */
  readonly starts?: readonly Turn[] | undefined;
  /** What held within the last year, and no successor of it stands. */
  readonly ended?: readonly Turn[] | undefined;
  /** All of it as a person would tell it, a sentence each. */
  readonly told: readonly string[];
}

export interface ChainLink {
  readonly pack: string;
  readonly authority: string;
  readonly layer: Layer;
  readonly severity: Severity;
  /** The baths it speaks of; absent: any. */
  readonly bath?: readonly string[] | undefined;
  readonly min?: BoundText | undefined;
  readonly max?: BoundText | undefined;
  readonly target?: { readonly min: string; readonly max: string } | undefined;
  /** A bound that gives way to the maker's sheet, or is met by either. */
  readonly role?: 'fallback' | 'alternative' | undefined;
  readonly citation: Citation;
  /** Sides on which it changes nothing, and what is as strict or stricter. */
  readonly noEffect?: readonly NoEffect[] | undefined;
  readonly deprecated?: Deprecated | undefined;
}

export interface Strictest {
  readonly side: Side;
  /** Of which bath, where limits of the chain speak of single ones and not all come to the same. */
  readonly bath?: string | undefined;
  readonly counted?: Counted | undefined;
  readonly pack: string;
  readonly layer: Layer;
  readonly citation: Citation;
  readonly text: string;
}

/**
 * From which day the two were counted, where another day could turn it round, as of 60 days and two months: from the fills
 * on record, or, with none, from the day that is asked about.
 */
export type Counted = 'fills' | 'day';

/** A side of a limit that nothing hangs from: whatever breaks it breaks another limit of the same weight too. */
export interface NoEffect {
  readonly side: Side;
  readonly pack: string;
  readonly layer: Layer;
  readonly authority: string;
  readonly citation: Citation;
  /** The other's bound. */
  readonly text: string;
  /** It asks for the same. */
  readonly same: boolean;
  readonly counted?: Counted | undefined;
}

/** A word that begins or ended, at an instant (ms): the first at which it holds, or no longer. */
export interface Turn extends ChainLink {
  readonly at: number;
  /** What the same pack says until then. */
  readonly instead?: string | undefined;
}

export interface BoundText {
  readonly text: string;
  /** As the pack writes it, with its UCUM unit, where it is one number. */
  readonly value?: number | undefined;
  readonly unit?: string | undefined;
  readonly chart?: ChartText | undefined;
  /** The maker's sheet on file for the line, where the bound is met by it as well, or gives way to it. */
  readonly sheet?: Pick<Chart, 'id' | 'title'> | undefined;
}
export interface ChartText {
  readonly id: string;
  readonly title: string;
  readonly layer: Layer;
  readonly lookup: Lookup;
  readonly units: { readonly by: string; readonly and?: string; readonly gives: string };
  /** In those units. */
  readonly rows: readonly ChartRow[];
}
