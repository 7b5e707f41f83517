interface Strip {
  readonly fog: 'asNew' | 'aged' | 'expired';
  readonly tells: 'processing' | 'unitAndProcessing';
  readonly difference?:
    | { readonly density: number; readonly steps: number; readonly direction: string; readonly many: boolean }
    | undefined;
  readonly curve?:
    | {
        readonly speedPoint?: number | undefined;
        readonly averageGradient?: number | undefined;
        readonly speed?: number | undefined;
        readonly group?: string | undefined;
      }
    | undefined;
}

/** What a strip says, in sentences. */
export function tellStrip({ fog, tells, difference, curve }: Strip): string[] {
  return [
    ...(difference === undefined ? ['There is no reference film to hold it against.'] : against(difference, tells)),
    fogs[fog],
    ...(curve === undefined ? [] : ofCurve(curve)),
  ];
}

const fogs = {
  asNew: 'Base plus fog is that of film as made (at most 0.25).',
  aged: 'Base plus fog is over that of film as made (0.25), and not over what ends its life (0.40).',
  expired: 'Base plus fog is over 0.40, which ends the life of a film: look at film, safelight and bath.',
} as const;

function against(
  { density, steps, direction, many }: NonNullable<Strip['difference']>,
  tells: Strip['tells'],
): string[] {
  const by =
    direction === 'same' ? 'As dark as the reference film' : `${steps} ${steps === 1 ? 'step' : 'steps'} ${direction}`;
  return [
    `${by}, ${density.toFixed(2)} in density at the middle step.`,
    ...(many ? ['More than two steps: common practice changes the solutions.'] : []),
    tells === 'processing'
      ? 'It was exposed beforehand with others: a difference is the processing’s.'
      : 'A strip of today tests unit and processing together and does not tell which.',
  ];
}

function ofCurve({ speedPoint, averageGradient, speed, group }: NonNullable<Strip['curve']>): string[] {
  return [
    speedPoint === undefined
      ? 'The strip does not show net density 1.00: no speed point.'
      : `Net density 1.00 at ${speedPoint.toPrecision(3)}${speed === undefined ? '' : ` mGy: ISO speed ${speed.toPrecision(3)}, ${group === undefined ? 'outside the groups C to F' : `group ${group}`}`}.`,
    averageGradient === undefined
      ? 'The strip does not show net densities 0.25 and 2.00: no average gradient.'
      : `Average gradient ${averageGradient.toFixed(2)}.`,
  ];
}
