import type { Pack } from '../model.js';

/**
 * Where a pack is met by another: everywhere it applies (""), or at a site that lists the other's place too. Undefined
 * where no site need list both. A site lists each place by its name; a county's site may list the county alone.
 */
export function meets(one: Pack, other: Pack): string | undefined {
  const [own, theirs] = [one.jurisdiction, other.jurisdiction];
  if (theirs === undefined || theirs === own) return '';
  const nested = own === undefined || own.startsWith(`${theirs}-`) || theirs.startsWith(`${own}-`);
  return nested ? ` at a site that lists ${theirs}` : undefined;
}

/** The part of one pack's time in which another stands too, as words; undefined where there is none. */
export function meanwhile(one: Pack, other: Pack): { readonly from: string; readonly to: string } | undefined {
  if (later(one.from, other.from) > sooner(one.to, other.to)) return undefined;
  return {
    from: other.from !== undefined && other.from > (one.from ?? '') ? ` from ${other.from}` : '',
    to: other.to !== undefined && other.to < (one.to ?? '9999') ? ` until ${other.to}` : '',
  };
}
const later = (a = '', b = '') => (a > b ? a : b);
const sooner = (a = '9999', b = '9999') => (a < b ? a : b);
