import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, startApi } from './server.js';

const degF = (value: number) => ({ value, unit: '[degF]' });
const min = (value: number) => ({ value, unit: 'min' });

interface Ranked {
  cause: string;
  probability: number;
  before: number;
  evidence: { clue?: string; from: string; ratio: number; text: string }[];
  retake: { helps: boolean };
}

describeEachDatabase('a question on causes', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());
  const ask = (body: object) => api.post('/v1/consult/causes', body);
  const of = (causes: Ranked[], id: string) => causes.find(({ cause }) => cause === id);

  describe('without a site: signs and shares only', () => {
    test('a dark film has the causes that tables list, ranked, and says what to look at first', async () => {
      const { body } = await ask({ signs: ['dark_image'] }).expect(200);
      const ids = body.causes.map(({ cause }: Ranked) => cause);
      expect(ids.slice(0, 5)).toEqual(expect.arrayContaining(['overexposure', 'dev_hot', 'dev_time_long']));
      expect(body.causes[0].evidence).toEqual([]);
      expect(body.groups.map(({ cause }: { cause: string }) => cause)).toContain('overdevelopment');
      expect(body.first[0].bits / body.first[0].minutes).toBeGreaterThan(0);
      expect(body.unknown).toBeLessThan(0.05);
      expect(body.caution).toContain('The dentist decides.');
      expect(body.notes.join(' ')).toContain('Weak chemistry is mended');
    });

    test('whether a film made again comes out better', async () => {
      const { body } = await ask({ signs: ['dark_image'] });
      expect(of(body.causes, 'overexposure')?.retake.helps).toBe(true);
      expect(of(body.causes, 'dev_hot')?.retake.helps).toBe(false);
    });

    test('an answer to a clue moves the ranking, both ways, and is told', async () => {
      const asked = { signs: ['light_image'] };
      const [plain, pattern] = [
        (await ask(asked)).body,
        (await ask({ ...asked, clues: { light_plus_pattern: true } })).body,
      ];
      const [before, after] = [of(plain.causes, 'film_backwards'), of(pattern.causes, 'film_backwards')];
      expect(after?.probability).toBeGreaterThan(before?.probability ?? 1);
      expect(after?.before).toBe(before?.before);
      expect(after?.evidence).toEqual([
        expect.objectContaining({ clue: 'light_plus_pattern', from: 'answer', ratio: 6 }),
      ]);
      expect(of(pattern.causes, 'underexposure')?.probability).toBeLessThan(
        of(plain.causes, 'underexposure')?.probability ?? 0,
      );
    });

    test('signs of two causes name both; a sign looked for and not seen counts', async () => {
      const { body } = await ask({ signs: ['light_image', 'cone_cut'] }).expect(200);
      expect(of(body.causes, 'beam_misaligned')?.probability).toBeGreaterThan(0.3);
      const back = (await ask({ signs: ['light_image'] })).body;
      const no = (await ask({ signs: ['light_image'], notSeen: ['reversed_pattern'] })).body;
      expect(of(no.causes, 'film_backwards')?.probability).toBeLessThan(
        of(back.causes, 'film_backwards')?.probability ?? 0,
      );
    });

    test('signs that contradict each other are said to', async () => {
      const { body } = await ask({ signs: ['light_image', 'dark_image'] }).expect(200);
      expect(body.notes[0]).toContain('do not go together');
    });

    test('before the safelight is blamed the room is tested with all lights off', async () => {
      const { body } = await ask({ signs: ['fogged'], clues: { coin_safe: true } }).expect(200);
      const at = (cause: string) => body.first.findIndex(({ of: ids }: { of: string[] }) => ids.includes(cause));
      expect(at('safelight')).toBeGreaterThanOrEqual(0);
      if (at('light_leak') >= 0) expect(at('light_leak')).toBeLessThan(at('safelight'));
    });
  });

  describe('bad input', () => {
    test.each([
      [{ signs: [] }, '/signs'],
      [{ signs: ['lihgt_image'] }, '/signs/0'],
      [{ signs: ['light_image'], notSeen: ['light_image'] }, '/notSeen'],
      [{ signs: ['light_image'], clues: { no_such_clue: true } }, '/clues/no_such_clue'],
      [{ signs: ['light_image'], line: 'M1' }, '/line'],
      [{ signs: ['light_image'], site: 'brackenfold', line: 'M7' }, '/line'],
      [{ signs: ['light_image'], site: 'brackenfold', film: 'F-none' }, '/film'],
      [{ signs: ['light_image', 'light_image'] }, '/signs/1'],
    ])('%j', async (body, pointer) => {
      const answer = await ask(body).expect(422);
      expect(answer.body.errors.map((each: { pointer: string }) => each.pointer)).toContain(pointer);
    });

    test('an unknown sign gets the nearest name', async () => {
      const { body } = await ask({ signs: ['lihgt_image'] }).expect(422);
      expect(body.errors[0].nearest).toBe('light_image');
    });

    test('an empty record is no evidence', async () => {
      const { body } = await ask({ signs: ['dark_image'], site: 'brackenfold', line: 'M1', tube: 'R1' }).expect(200);
      for (const { evidence, probability, before } of body.causes as Ranked[]) {
        expect(evidence).toEqual([]);
        expect(probability).toBe(before);
      }
    });
  });

  describe('with the record of a site', () => {
    test('a warm bath and a long time: overdeveloped, not overexposed; the strip of the morning says so too', async () => {
      const at = (clock: string) => ({ time: `2026-03-11T${clock}:00Z` });
      await api.send([
        event('stepwedge.read', { line: 'M1', difference: { steps: 2, direction: 'darker' } }, at('15:00')),
        event('film.exposed', { film: 'F-9', tube: 'R1', holder: true }, at('16:00')),
        event(
          'film.processed',
          { line: 'M1', method: 'manual', films: ['F-9'], developer: { temperature: degF(76), time: min(5) } },
          at('16:10'),
        ),
      ]);
      const { body } = await ask({ site: 'brackenfold', film: 'F-9', signs: ['dark_image'], extent: 'run' }).expect(
        200,
      );
      expect(body.line).toBe('M1');
      expect(
        body.causes
          .slice(0, 2)
          .map(({ cause }: Ranked) => cause)
          .sort(),
      ).toEqual(['dev_hot', 'dev_time_long']);
      const long = of(body.causes, 'dev_time_long');
      expect(long?.probability).toBeGreaterThan(long?.before ?? 1);
      expect(long?.evidence.map(({ text }) => text)).toContain(
        'It was developed for 1.67 of the time of the chart: 5:00 at 76 F, which asks for 3:00.',
      );
      // A clue that names a cause and a name for it counts once.
      const clues = long?.evidence.map(({ clue }) => clue) ?? [];
      expect(new Set(clues).size).toBe(clues.length);
      expect(long?.evidence.every(({ ratio }) => ratio !== 1)).toBe(true);
      const over = of(body.causes, 'overexposure');
      expect(over?.probability).toBeLessThan(over?.before ?? 0);
      expect(over?.evidence.some(({ ratio }) => ratio < 1)).toBe(true);
    });

    test('what a person saw goes before what the record says', async () => {
      const asked = { site: 'brackenfold', film: 'F-9', signs: ['dark_image'] };
      const said = (await ask({ ...asked, clues: { temp_log_high: false } }).expect(200)).body;
      const found = of(said.causes, 'dev_hot')?.evidence.find(({ clue }) => clue === 'temp_log_high');
      expect(found).toMatchObject({ from: 'answer' });
      expect(found?.ratio).toBeLessThan(1);
    });
  });
});
