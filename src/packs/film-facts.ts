import type { FactDefinition } from './facts.js';

const reviewed = ['film.reviewed'];
/** Facts of the film that is looked at: its own exposure and run, what its line last showed, what its signs may come from. */
export const filmFacts: readonly FactDefinition[] = (
  [
    [
      'film.grade',
      { kind: 'text', words: ['excellent', 'acceptable', 'unacceptable'] },
      'how the film was judged',
      reviewed,
    ],
    ['film.signs', { kind: 'count' }, 'signs that it shows', reviewed],
    ['causes.leading', { kind: 'text' }, 'id of the likeliest cause of its signs, or unknown', reviewed],
    ['causes.told', { kind: 'text' }, 'the likely and possible causes of its signs, in words', reviewed],
    ['causes.first', { kind: 'text' }, 'what to look at first', reviewed],
    ['causes.act', { kind: 'text' }, 'what mends the likeliest cause', reviewed],
    ['causes.salvage', { kind: 'text' }, 'what can be done for the film', reviewed],
    [
      'film.extent',
      { kind: 'text', words: ['film', 'some', 'run'] },
      'on how much of its run the signs show',
      reviewed,
    ],
    [
      'film.developer.temperature',
      { kind: 'quantity', unit: 'Cel', shown: 'temperature' },
      'developer temperature when the film was developed',
      reviewed,
    ],
    [
      'film.timeRatio',
      { kind: 'quantity', unit: '1' },
      'its time in the developer over the least that the temperature asks for',
      reviewed,
    ],
    ['film.exposureRatio', { kind: 'quantity', unit: '1' }, 'its exposure over that of the technique chart', reviewed],
    ['film.holder', { kind: 'flag' }, 'a film holder was used for it', reviewed],
    ['film.lotExpired', { kind: 'flag' }, 'its lot was out of date', reviewed],
    [
      'line.lastStrip',
      { kind: 'text', words: ['lighter', 'darker', 'same'] },
      'how the latest strip of the last week stood to the reference film',
      ['stepwedge.read'],
    ],
    [
      'line.lastStripTells',
      { kind: 'text', words: ['processing', 'unitAndProcessing'] },
      'what a difference of that strip can be blamed on',
      ['stepwedge.read'],
    ],
    [
      'line.coinSeenInTheDark',
      { kind: 'flag' },
      'the latest coin test with all lights off showed the coin',
      ['darkroom.checked'],
    ],
    [
      'line.coinSeenUnderSafelight',
      { kind: 'flag' },
      'the latest coin test under the safelight showed the coin',
      ['darkroom.checked'],
    ],
    ['line.daysSinceRollers', { kind: 'count' }, 'days since the rollers were cleaned', ['equipment.cleaned']],
  ] as const
).map(([name, kind, meaning, fedBy]): FactDefinition => ({ name, ...kind, meaning, aside: true, fedBy }));
