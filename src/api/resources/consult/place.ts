import { assumedState } from '../../../engine/consult/place.js';
import { nearest } from '../../../events/nearest.js';
import type { LineConfig, TubeConfig } from '../../../events/site.js';
import { mistaken } from '../../../packs/jurisdictions.js';
import { faulty } from '../../faults.js';
import type { Key } from '../../keys.js';
import type { ProblemFault } from '../../problems.js';
import type { Ground, Services } from '../../services.js';
import { instantOf } from '../board.js';
import { unknownSite } from '../sites.js';

/** What every question may say of the place it is asked at. `at` in ms. */
export interface AskedPlace {
  readonly site?: string | undefined;
  readonly jurisdictions?: readonly string[] | undefined;
  readonly at?: number | undefined;
}

export interface Standing extends Ground {
  readonly at: number;
}

/**
 * The ground that a question stands on: a site with its record, or an office that nobody has set up, with these lines and
 * units and nothing on record.
 * @throws Problem
 */
export async function groundOf(
  services: Services,
  key: Key,
  asked: AskedPlace,
  assumed: { readonly lines?: readonly LineConfig[]; readonly tubes?: readonly TubeConfig[] },
): Promise<Standing> {
  const { site, jurisdictions = [] } = asked;
  if (site !== undefined) {
    if (asked.jurisdictions !== undefined)
      throw invalid('/jurisdictions', 'combination', 'does not go with site: a site has its own');
    const at = instantOf(services, key, site, asked.at);
    const ground = await services.consult.site(key.organisation, site, at);
    if (ground === null || ground.state.site === null) throw unknownSite(site, at);
    return { at, ...ground };
  }
  const at = asked.at ?? services.now();
  const book = await services.consult.book(key.organisation);
  const errors = jurisdictions.flatMap((one, index): ProblemFault[] => {
    const slip = mistaken(one, book.jurisdictions);
    const allowed = [...book.jurisdictions].sort();
    return slip === undefined
      ? []
      : [{ pointer: `/jurisdictions/${index}`, code: 'unknown-jurisdiction', allowed, ...slip }];
  });
  if (errors.length > 0) throw faulty('invalid-body', errors);
  return { at, book, state: assumedState({ zone: 'UTC', jurisdictions, ...assumed }, at, book) };
}

export const invalid = (pointer: string, code: string, message: string, more: Partial<ProblemFault> = {}) =>
  faulty('invalid-body', [{ pointer, code, message, ...more }]);

/** One line or unit of a site by its name. @throws Problem that names those there are */
export function known<T extends { readonly id: string }>(
  things: readonly T[],
  name: string,
  pointer: '/line' | '/tube',
): T {
  const found = things.find(({ id }) => id === name);
  if (found !== undefined) return found;
  const allowed = things.map(({ id }) => id);
  const near = nearest(name, allowed);
  const message = `is not set up at this site${near === undefined ? '' : `; did you mean ${near}?`}`;
  const code = pointer === '/line' ? 'unknown-line' : 'unknown-tube';
  throw invalid(pointer, code, message, { allowed, ...(near === undefined ? {} : { nearest: near }) });
}

/** Lines or units that have not ended. */
export const inUse = <T extends { readonly config: { readonly ended?: boolean | undefined } }>(
  things: Readonly<Record<string, T>>,
): T[] => Object.values(things).filter(({ config }) => config.ended !== true);
