/** Instants and local dates as events write them. */

const rfc3339 = /^(\d{4})-(\d\d)-(\d\d)[Tt ](\d\d):(\d\d):(\d\d)(?:\.(\d{1,9}))?(?:([Zz])|([+-])(\d\d):(\d\d))?$/;
const localDate = /^(\d{4})-(\d\d)-(\d\d)$/;
const localMonth = /^(\d{4})-(\d\d)$/;

const monthDays = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const daysIn = (year: number, month: number): number =>
  month === 2 && year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : (monthDays[month - 1] ?? 0);

/** `format`: not a date and time of RFC 3339; `offset`: one without its offset from UTC. */
export type InstantFault = 'format' | 'offset';

/**
 * The instant an RFC 3339 text names, in whole milliseconds since 1970 UTC (finer fractions are cut), or why there is
 * none. A leap second is the first second of the next minute. https://www.rfc-editor.org/rfc/rfc3339#section-5.6
 */
export function readInstant(text: string): number | InstantFault {
  const match = text.length <= 40 ? rfc3339.exec(text) : null;
  if (!match) return 'format';
  const year = Number(match[1]);
  const month = Number(match[2]);
  const day = Number(match[3]);
  const hour = Number(match[4]);
  const minute = Number(match[5]);
  const second = Number(match[6]);
  if (month < 1 || month > 12 || day < 1 || day > daysIn(year, month)) return 'format';
  if (hour > 23 || minute > 59 || second > 60) return 'format';
  let offset = 0;
  if (match[8] === undefined) {
    if (match[9] === undefined) return 'offset';
    const hours = Number(match[10]);
    const minutes = Number(match[11]);
    if (hours > 23 || minutes > 59) return 'format';
    offset = (hours * 60 + minutes) * (match[9] === '-' ? -60_000 : 60_000);
  }
  const millis = match[7] === undefined ? 0 : Number(match[7].slice(0, 3).padEnd(3, '0'));
  // Date.UTC reads years below 100 as 19xx; such a time is refused as before 1970 anyway.
  const at =
    (year < 100 ? Number.MIN_SAFE_INTEGER : Date.UTC(year, month - 1, day, hour, minute, second, millis)) - offset;
  if (second === 60 && at % 86_400_000 >= 1000) return 'format';
  return at;
}

/** As `readInstant`, undefined for any fault. */
export function parseInstant(text: string): number | undefined {
  const at = readInstant(text);
  return typeof at === 'number' ? at : undefined;
}

/** Whether the text is a calendar date, YYYY-MM-DD. */
export function isLocalDate(text: string): boolean {
  const match = localDate.exec(text);
  return match !== null && dayExists(match);
}

/** Whether the text is a month, YYYY-MM. */
export function isLocalMonth(text: string): boolean {
  const match = localMonth.exec(text);
  return match !== null && Number(match[2]) >= 1 && Number(match[2]) <= 12;
}

function dayExists(match: RegExpExecArray): boolean {
  const month = Number(match[2]);
  const day = Number(match[3]);
  return month >= 1 && month <= 12 && day >= 1 && day <= daysIn(Number(match[1]), month);
}
