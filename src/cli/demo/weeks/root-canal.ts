import { ostermoor } from '../offices.js';
import { fahrenheit, minutes, seconds, Teller } from '../teller.js';
import type { ToldWeek } from './week.js';

/**
 * A root canal at the chair: five working films in the chairside box with rapid chemistry, four of them fixed and
 * washed for keeps at half past twelve, the fifth forgotten until its twenty-four hours are over.
 */
export function rootCanal(): ToldWeek {
  const t = new Teller(ostermoor, 'canal');
  t.changed('2026-03-11T07:40', 'C1', ['developer', 'fixer'], { kind: 'rapid', by: 'op-4' });

  const steps = [
    ['09:05', '09:07'],
    ['09:16', '09:18'],
    ['09:35', '09:37'],
    ['09:58', '10:00'],
    ['10:18', '10:20'],
  ] as const;
  const films = steps.map((_, n) => `canal-${n + 1}`);
  steps.forEach(([exposed, processed], n) => {
    const film = films[n] ?? '';
    t.exposed(`2026-03-11T${exposed}`, film, 'R2', {
      teeth: ['36'],
      view: 'periapical',
      purpose: 'working',
      series: 'canal',
      by: 'op-4',
    });
    t.tell(`2026-03-11T${processed}`, 'film.processed', {
      line: 'C1',
      method: 'chairside',
      films: [film],
      purpose: 'working',
      endpoint: 'timed',
      developer: { temperature: fahrenheit(75), time: seconds(15) },
      fixer: { time: seconds(40) },
      by: 'op-4',
    });
    // The second film, read wet, looks greenish: it is not finished, that is all.
    if (n === 1)
      t.reviewed(
        '2026-03-11T09:20',
        { film },
        { signs: ['green_stain'], extent: 'film', retake: 'none', note: 'read wet' },
      );
  });

  const forKeeps = { line: 'C1', fixer: { time: minutes('10:00') }, wash: { time: minutes('20:00') }, by: 'op-4' };
  t.tell('2026-03-11T12:30', 'film.refixed', { ...forKeeps, films: films.slice(0, 4) });
  t.tell('2026-03-12T11:05', 'film.refixed', { ...forKeeps, films: films.slice(4) });

  return {
    id: 'root-canal',
    title: 'A root canal at the chair',
    office: ostermoor,
    events: t.events,
    owns: [{ from: '2026-03-11', to: '2026-03-12', line: 'C1' }],
    changes: [{ line: 'C1', date: '2026-03-11' }],
  };
}
