import { text } from './decode.js';
import type { Decoder } from './decode.js';
import { quoted } from './diagnostic.js';
import { fault } from './spot.js';

/** Semantic versions without labels: a pack is in force or it is not. */
export const versionPattern = /^(0|[1-9]\d{0,8})(\.(0|[1-9]\d{0,8})){2}$/;

export const version: Decoder<string> = (spot) => {
  const value = text(spot);
  if (value === undefined || versionPattern.test(value)) return value;
  const short = /^\d+(\.\d+)?$/.test(value) ? [...value.split('.').map(Number), 0, 0].slice(0, 3).join('.') : undefined;
  const message = `${quoted(value)} is not a version: three whole numbers joined by points, such as 1.0.0.`;
  return fault(spot, 'bad-name', message, short === undefined ? {} : { nearest: short });
};
