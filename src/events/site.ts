/** How a site is set up, in force from the event's time: the data of `site.configured`. */
export interface SiteConfig {
  readonly name: string;
  /** IANA zone. */
  readonly zone: string;
  /** Jurisdiction ids whose packs apply, for example `us`, `us-wa`. */
  readonly jurisdictions: readonly string[];
  readonly lines: readonly LineConfig[];
  readonly tubes: readonly TubeConfig[];
  /** ISO weekdays that are worked, 1 = Monday; default Monday to Friday. */
  readonly workingDays?: readonly number[];
}
export interface LineConfig {
  readonly id: string;
  readonly name?: string;
  readonly method: 'manual' | 'automatic' | 'chairside';
  readonly chemistry?: 'standard' | 'rapid';
  /** Developer and film product names on file; they choose a maker's sheet. */
  readonly product?: string;
  /** Volume of a tank, mL. */
  readonly volume?: number;
  /** Power in W, distance to the bench in mm. */
  readonly safelight?: { readonly filter?: string; readonly power?: number; readonly distance?: number };
  readonly ended?: boolean;
}
export interface TubeConfig {
  readonly id: string;
  readonly name?: string;
  readonly kind?: 'wall' | 'mobile' | 'handHeld' | 'panoramic';
  /** What the unit is set to once for all: kV, mA; length of the cone in mm. An exposure need not repeat it. */
  readonly tubeVoltage?: number;
  readonly tubeCurrent?: number;
  readonly coneLength?: number;
  readonly collimation?: 'round' | 'rectangular';
  readonly ended?: boolean;
}
