import { distance } from 'fastest-levenshtein';
import { iso31661, iso31662 } from 'iso-3166';
import { nearest } from '../events/nearest.js';
import type { PackBook, Place } from './book.js';

/** A jurisdiction of a site whose law is not checked, for people to see. */
export interface Unspoken {
  readonly jurisdiction: string;
  /** The known name that was probably meant. */
  readonly nearest?: string;
  readonly text: string;
}

/** ISO 3166-1 countries and ISO 3166-2 subdivisions, lower case; and the European Union, which makes law as well. */
const places: ReadonlySet<string> = new Set([
  'eu',
  ...iso31661.map(({ alpha2 }) => alpha2.toLowerCase()),
  ...iso31662.map(({ code }) => code.toLowerCase()),
]);

/**
 * Why a jurisdiction that somebody writes down cannot be what was meant; undefined when it can. Ids are a country, a
 * subdivision of it as ISO 3166 has them (`us`, `us-wa`), and after that anything (`us-wa-king`), unless it is one letter
 * off a name that a pack has; and whatever a pack is for.
 */
export function mistaken(
  jurisdiction: string,
  known: ReadonlySet<string>,
): { readonly message: string; readonly nearest?: string } | undefined {
  if (known.has(jurisdiction)) return undefined;
  const [country, subdivision, ...rest] = jurisdiction.split('-');
  const state = [country, subdivision].join('-');
  if (places.has(subdivision === undefined ? jurisdiction : state)) {
    const near = rest.length === 0 ? undefined : [...known].find((name) => isSlip(jurisdiction, name));
    if (near === undefined) return undefined;
    return { message: `is one letter off ${near}, which has packs; write that, or a name less like it`, nearest: near };
  }
  const ofCountry = [...places].filter((place) => place.startsWith(`${country}-`));
  const within = [...known].find((name) => name.endsWith(`-${jurisdiction}`));
  const near = nearest(jurisdiction, known) ?? within ?? nearest(jurisdiction, ofCountry);
  const hint = near === undefined ? '' : `; did you mean ${near}?`;
  const message = `is neither a country or a part of one in ISO 3166 (us, us-wa), with or without a name of your own behind it (us-wa-king), nor named by a pack${hint}`;
  return { message, ...(near === undefined ? {} : { nearest: near }) };
}

/** Whether two places within the same state differ in one letter only. */
function isSlip(one: string, other: string): boolean {
  const state = (name: string) => name.split('-', 2).join('-');
  return state(one) === state(other) && other !== state(other) && distance(one, other) === 1;
}

/** What of a site's law is not checked at `at` (ms), because no pack in force there speaks of it. */
export function unspoken(book: PackBook, place: Place, at: number): Unspoken[] {
  const spoken = new Set(book.at(at, place).packs.flatMap(({ jurisdiction }) => jurisdiction ?? []));
  const listed = place.jurisdictions;
  const above = new Map<string, string>();
  for (const one of listed) {
    const parts = one.split('-');
    for (let length = 1; length < parts.length; length++) {
      const outer = parts.slice(0, length).join('-');
      if (book.jurisdictions.has(outer) && !listed.includes(outer)) above.set(outer, above.get(outer) ?? one);
    }
  }
  const missing = [...above].map(([outer, one]) => ({
    jurisdiction: outer,
    text: `${one} lies in ${outer}, which is not listed: nothing of the law of ${outer} is checked.`,
  }));
  return [...missing, ...listed.filter((one) => !spoken.has(one)).map((one) => silent(one, book.jurisdictions))];
}

function silent(jurisdiction: string, known: ReadonlySet<string>): Unspoken {
  const says = `No pack in force here speaks of ${jurisdiction}`;
  if (known.has(jurisdiction))
    return { jurisdiction, text: `${says} (one is in force at another time): nothing of its law is checked.` };
  const near = mistaken(jurisdiction, known)?.nearest;
  if (near === undefined) return { jurisdiction, text: `${says}: nothing of its law is checked.` };
  return { jurisdiction, nearest: near, text: `${says}; did you mean ${near}? Nothing of its law is checked.` };
}
