import { brackenfold } from '../offices.js';
import { fahrenheit, minutes, Teller } from '../teller.js';
import type { ToldWeek } from './week.js';

/**
 * Cold Tuesday after a long weekend: the heater was off, nobody read the thermometer, eleven light films before nine.
 * Six exposed packets wait; three of the eleven are taken again.
 */
export function coldTuesday(): ToldWeek {
  const t = new Teller(brackenfold, 'cold');
  const on = (clock: string): string => `2026-01-20T${clock}`;
  const named = (stem: string, count: number): string[] =>
    Array.from({ length: count }, (_, n) => `cold-${stem}${n + 1}`);

  t.tell('2026-01-15T17:30', 'site.closed', { from: '2026-01-16', to: '2026-01-19', reason: 'long weekend' });

  const bitewings = named('b', 4);
  const periapicals = named('p', 7);
  bitewings.forEach((film, n) => t.exposed(on(`08:0${n + 4}`), film, 'R1', { view: 'bitewing', by: 'op-2' }));
  t.run(on('08:20'), 'M1', { films: bitewings, time: minutes('5:00'), by: 'op-2' });
  periapicals.forEach((film, n) => t.exposed(on(`08:2${n + 2}`), film, 'R2', { view: 'periapical', by: 'op-5' }));
  t.run(on('08:40'), 'M1', { films: periapicals, time: minutes('5:00'), by: 'op-5' });

  const light = [...bitewings, ...periapicals];
  for (const film of light) {
    t.reviewed(on('09:05'), { film }, { grade: 'unacceptable', signs: ['light_image'], extent: 'run' });
  }
  t.measured(on('09:15'), 'M1', { developer: fahrenheit(62), fixer: fahrenheit(61), wash: fahrenheit(55) });

  const waiting = named('w', 6);
  waiting.forEach((film, n) => t.exposed(on(`09:1${n + 2}`), film, 'R1', { view: 'periapical', by: 'op-2' }));
  t.measured(on('10:20'), 'M1', { developer: fahrenheit(69) });
  t.strip(on('10:24'), 'M1');
  t.run(on('10:30'), 'M1', { films: waiting, temperature: fahrenheit(69), time: minutes('4:30'), by: 'op-2' });
  for (const film of waiting) t.reviewed(on('10:50'), { film }, { grade: 'acceptable' });

  // The dentist's decisions: three again, eight are readable enough.
  light.forEach((film, n) => {
    const again = n < 3;
    t.reviewed(
      on('11:00'),
      { film },
      {
        grade: 'unacceptable',
        signs: ['light_image'],
        extent: 'run',
        retake: again ? 'ordered' : 'none',
        ...(again ? {} : { salvaged: true }),
      },
    );
  });
  const again = light.slice(0, 3);
  again.forEach((film, n) =>
    t.exposed(on(`11:1${n}`), `${film}-again`, 'R1', { view: 'bitewing', retakeOf: film, by: 'op-2' }),
  );
  t.run(on('11:20'), 'M1', {
    films: again.map((film) => `${film}-again`),
    temperature: fahrenheit(69),
    time: minutes('4:30'),
    by: 'op-2',
  });
  for (const film of again) t.reviewed(on('11:40'), { film: `${film}-again` }, { grade: 'acceptable' });
  t.replenished(on('16:40'), 'M1', 'op-2');

  return {
    id: 'cold-tuesday',
    title: 'Cold Tuesday after a long weekend',
    office: brackenfold,
    events: t.events,
    owns: [
      { from: '2026-01-16', to: '2026-01-19', closed: true },
      { from: '2026-01-20', to: '2026-01-20' },
    ],
    changes: [],
  };
}
