import { DateTime } from 'luxon';
import { facts } from '../packs/facts.js';

export { sayPeriod, sayQuantity, sayTimes } from '../packs/say.js';

/** How a person at the darkroom door reads a number. Input is in the fact's canonical unit. */
export function sayFact(name: string, value: unknown, zone: string): string | undefined {
  if (value === undefined || value === null) return undefined;
  if (typeof value !== 'number') return String(value);
  switch (facts.get(name)?.shown) {
    case 'temperature':
      return `${trim(value * 1.8 + 32)} F`;
    case 'temperatureDifference':
      return `${trim(value * 1.8)} F`;
    case 'clock':
      return sayClock(value);
    case 'days':
      return `${trim(value)} ${value === 1 ? 'day' : 'days'}`;
    case 'date':
      return sayDate(value, zone);
    case 'area':
      return `${Math.round(value / 100)} cm2`;
    default: {
      const unit = facts.get(name)?.unit;
      return unit === undefined || unit === '1' ? trim(value) : `${trim(value)} ${unit}`;
    }
  }
}

/** The distance between two values of a fact; a temperature difference has no offset. */
export function sayDistance(name: string, distance: number): string {
  const shown = facts.get(name)?.shown;
  if (shown === 'temperature') return `${trim(distance * 1.8)} F`;
  return sayFact(name, distance, 'UTC') ?? trim(distance);
}

/** What is added to a looked-up value of a fact: ", plus 0:30", ", less 0:30"; nothing for none. */
export function sayAllowance(name: string, plus: number | undefined): string {
  if (plus === undefined || plus === 0) return '';
  return `, ${plus < 0 ? 'less' : 'plus'} ${sayDistance(name, Math.abs(plus))}`;
}

/** Seconds as m:ss, from one hour on as h:mm:ss. */
export function sayClock(seconds: number): string {
  const whole = Math.round(seconds);
  const two = (value: number) => String(value).padStart(2, '0');
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

// Names of our own: those of a locale library differ between versions ("Sep", "Sept"), and a message is part of the record.
const weekdays = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];
const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** "Sun 8 Mar 2026". */
export function sayDate(at: number, zone: string): string {
  return `${sayDay(at, zone)} ${DateTime.fromMillis(at, { zone }).year}`;
}

/** "Sun 8 Mar". */
export function sayDay(at: number, zone: string): string {
  const { weekday, day, month } = DateTime.fromMillis(at, { zone });
  return `${weekdays[weekday - 1]} ${day} ${months[month - 1]}`;
}

/** "Sun 8 Mar", with the year when it is not the year of `from`. */
export function sayDayFrom(at: number, from: number, zone: string): string {
  const year = (instant: number) => DateTime.fromMillis(instant, { zone }).year;
  return year(at) === year(from) ? sayDay(at, zone) : sayDate(at, zone);
}

/** "Thu 10:20". */
export function sayTime(at: number, zone: string): string {
  const local = DateTime.fromMillis(at, { zone });
  return `${weekdays[local.weekday - 1]} ${local.toFormat('HH:mm')}`;
}

function trim(value: number): string {
  return String(Math.round(value * 100) / 100);
}

/**
 * Fill the placeholders of a message: `{name}` by its value, `{name|film|films}` by the one word for 1 and the other
 * for any other value. A group `[[ … ]]` is left out when a placeholder in it has no value; outside a
 * group an unknown value is said as "unknown".
 */
export function fill(template: string, value: (name: string) => string | undefined): string {
  return template
    .replace(/\[\[(.*?)\]\]/gs, (_, group: string) => {
      let known = true;
      const said = group.replace(placeholder, (_match, ...names: string[]) => {
        const word = worded(value, names);
        if (word === undefined) known = false;
        return word ?? '';
      });
      return known ? said : '';
    })
    .replace(placeholder, (_, ...names: string[]) => worded(value, names) ?? 'unknown')
    .replace(/ {2,}/g, ' ')
    .trim();
}

const placeholder = /\{([A-Za-z][A-Za-z0-9._-]*)(?:\|([^{}|]*)\|([^{}|]*))?\}/g;

function worded(value: (name: string) => string | undefined, [name = '', one, many]: readonly string[]) {
  const said = value(name);
  return one === undefined || said === undefined ? said : said === '1' ? one : many;
}
