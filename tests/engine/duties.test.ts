import { describe, expect, test } from '@jest/globals';
import { Office } from './office.js';

const age = `pack: us/age
layer: state
jurisdiction: us
limits:
  - { id: chemistry-age, of: chemistry.age, max: 2 mo, severity: law }
`;
const practice = `pack: test/age
layer: practice
limits:
  - { id: chemistry-age, of: chemistry.age, max: 60 d, severity: warning }
duties:
  - id: change
    title: Change {line} chemistry
    must: { event: chemistry.changed }
    per: bath
    for: { method: manual }
    every: { limit: chemistry-age }
    counts: always
    remind: 7 d
    say: '{chemistry.age} old'
    $tests
`;
const changed = (bath: string) => ({ line: 'M1', bath, by: 'op-2' });
const run = (count: number, method = 'manual', line = 'M1') => ({ line, method, count });

function offices(change: string) {
  const office = new Office([age, practice], 'America/Los_Angeles', {}, change);
  office.add(change, 'chemistry.changed', changed('developer'));
  office.add(change, 'chemistry.changed', changed('fixer'));
  return office;
}

function naming(since: string) {
  const named = practice.replace("'{chemistry.age} old'", "'Change the {bath} of {line}'");
  return new Office([age, named], 'America/Los_Angeles', {}, since);
}

describe('a duty by the age of a bath', () => {
  test('opens once for both baths at the earliest due instant and rises with the next', () => {
    const office = offices('2026-07-01T10:00');
    expect(office.findings('2026-08-30T23:59')).toEqual([]);
    expect(office.findings('2026-08-31T00:00')).toMatchObject([
      { severity: 'warning', openedAt: office.at('2026-08-31T00:00'), message: '61 days old' },
    ]);
    office.add('2026-08-31T09:00', 'film.processed', run(20));
    const [finding, ...others] = office.findings('2026-09-02T00:00');
    expect(others).toEqual([]);
    expect(finding).toMatchObject({
      severity: 'law',
      state: 'open',
      films: 20,
      openedAt: office.at('2026-08-31T00:00'),
    });
    expect(finding?.chain.map(({ text, verdict }) => `${verdict}: ${text}`)).toEqual([
      'broken: 60 days, through Sun 30 Aug 2026',
      'broken: 2 months, through Tue 1 Sep 2026',
    ]);
    office.add('2026-09-02T12:10', 'chemistry.changed', changed('developer'));
    expect(office.findings()).toMatchObject([{ state: 'open' }]);
    office.add('2026-09-02T12:15', 'chemistry.changed', changed('fixer'));
    expect(office.findings()).toMatchObject([{ state: 'cleared', closedAt: office.at('2026-09-02T12:15') }]);
  });

  test('says which bath: both, or the one that is left when the other was changed', () => {
    const told = naming('2026-07-01T00:00');
    const message = (at: string) => told.findings(at).map((one) => `${one.state}: ${one.message}`);
    told.add('2026-07-01T10:00', 'chemistry.changed', changed('developer'));
    told.add('2026-07-01T10:00', 'chemistry.changed', changed('fixer'), 'fixer');
    expect(message('2026-08-31T00:00')).toEqual(['open: Change the chemistry of M1']);
    expect(told.findings('2026-08-31T00:00')[0]?.said).toHaveLength(1);
    told.add('2026-09-01T09:00', 'chemistry.changed', changed('fixer'));
    expect(message('2026-09-01T09:00')).toEqual(['open: Change the developer of M1']);
    // Raised to law a day later, it still speaks of the developer alone.
    expect(told.findings('2026-09-02T00:00')).toMatchObject([
      { severity: 'law', message: 'Change the developer of M1' },
    ]);
    // Since the law's day has passed too, it is the developer's finding.
    told.add('2026-09-02T12:00', 'chemistry.changed', changed('developer'));
    expect(message('2026-09-02T12:00')).toEqual(['cleared: Change the developer of M1']);
  });

  test('baths changed on different days fall due on different days, each by its name', () => {
    const told = naming('2026-07-01T00:00');
    told.add('2026-07-01T10:00', 'chemistry.changed', changed('fixer'));
    told.add('2026-07-03T10:00', 'chemistry.changed', changed('developer'));
    expect(told.findings('2026-09-03T08:00').map(({ openedAt, message }) => [openedAt, message])).toEqual([
      [told.at('2026-08-31T00:00'), 'Change the fixer of M1'],
      [told.at('2026-09-02T00:00'), 'Change the developer of M1'],
    ]);
  });

  test('without a change on record both are meant, until one is changed', () => {
    const told = naming('2026-01-05T00:00');
    expect(told.findings('2026-03-09T08:00').map(({ message }) => message)).toEqual(['Change the chemistry of M1']);
    told.add('2026-03-09T09:00', 'chemistry.changed', changed('developer'));
    expect(told.findings('2026-03-09T10:00').map(({ message }) => message)).toEqual(['Change the fixer of M1']);
  });

  test('the law may come first; practice then adds no second finding', () => {
    const office = offices('2026-01-08T12:30');
    const [finding, ...others] = office.findings('2026-03-12T00:00');
    expect(others).toEqual([]);
    expect(finding).toMatchObject({ severity: 'law' });
    expect(new Date(finding?.openedAt ?? 0).toISOString()).toBe('2026-03-09T07:00:00.000Z');
  });

  test('L17d: what falls due in a closure is asked for before it, and not while it lasts', () => {
    const office = offices('2026-07-01T10:00');
    office.add('2026-08-10T09:00', 'site.closed', { from: '2026-08-24', to: '2026-09-07' });
    const item = (at: string) => office.due(at)[0];
    expect(item('2026-08-16T12:00')).toMatchObject({ listed: false });
    expect(item('2026-08-17T12:00')).toMatchObject({
      listed: true,
      text: 'Change M1 chemistry by Fri 21 Aug (last working day before Sun 30 Aug).',
    });
    expect(item('2026-08-25T12:00')).toMatchObject({ listed: false, overdue: false });
    expect(item('2026-09-02T12:00')).toMatchObject({
      ...{ listed: false, overdue: false, severity: 'law' },
      text: 'Change M1 chemistry before the next films: was due by Sun 30 Aug.',
    });
    office.add('2026-09-08T07:30', 'film.processed', run(1));
    expect(item('2026-09-08T08:00')).toMatchObject({ listed: true, overdue: true });
  });

  test('cleared, it says again what it said of both baths', () => {
    const office = offices('2026-07-01T10:00');
    office.add('2026-09-02T12:10', 'chemistry.changed', changed('developer'));
    const before = office.findings('2026-09-02T12:00')[0]?.message;
    office.add('2026-09-02T12:15', 'chemistry.changed', changed('fixer'));
    expect(office.findings()).toMatchObject([{ state: 'cleared', message: before }]);
  });

  test('L17d: the due list names the last working day before it, once for both baths', () => {
    const office = offices('2026-01-08T12:30');
    expect(office.due('2026-03-01T12:00').filter(({ listed }) => listed)).toEqual([]);
    expect(office.due('2026-03-02T08:00').filter(({ listed }) => listed)).toMatchObject([
      {
        text: 'Change M1 chemistry by Fri 6 Mar (last working day before Sun 8 Mar).',
        lastWorkingDay: '2026-03-06',
        baths: ['developer', 'fixer'],
      },
    ]);
  });

  test('L17d: what falls due in a closure is owed at the first work afterwards', () => {
    const office = offices('2026-07-01T10:00');
    office.add('2026-08-20T09:00', 'site.closed', { from: '2026-08-24', to: '2026-09-07', line: 'M1' });
    expect(office.findings('2026-09-07T23:59')).toEqual([]);
    office.add('2026-09-08T07:30', 'day.opened', { line: 'M1' });
    expect(office.findings()).toMatchObject([
      { severity: 'law', openedAt: office.at('2026-09-08T07:30'), message: '69 days old' },
    ]);
  });

  test('… unless the day begins with doing it', () => {
    const office = offices('2026-07-01T10:00');
    office.add('2026-08-20T09:00', 'site.closed', { from: '2026-08-24', to: '2026-09-07', line: 'M1' });
    office.add('2026-09-08T07:30', 'chemistry.changed', changed('developer'));
    office.add('2026-09-08T07:31', 'chemistry.changed', changed('fixer'));
    office.add('2026-09-08T08:00', 'film.processed', run(1));
    expect(office.findings()).toEqual([]);
  });

  test('… or when a closure that names its hour ends, or at the end of the first working day without any work', () => {
    const timed = offices('2026-07-01T10:00');
    const instant = (local: string) => new Date(timed.at(local)).toISOString();
    timed.add('2026-08-20T09:00', 'site.closed', {
      from: instant('2026-08-24T00:00'),
      to: instant('2026-09-08T07:30'),
    });
    expect(timed.findings('2026-09-08T07:30')).toMatchObject([{ openedAt: timed.at('2026-09-08T07:30') }]);
    const silent = offices('2026-07-01T10:00');
    silent.add('2026-08-20T09:00', 'site.closed', { from: '2026-08-24', to: '2026-09-07' });
    expect(silent.findings('2026-09-09T00:00')).toMatchObject([{ openedAt: silent.at('2026-09-09T00:00') }]);
  });

  test('L17b: with no change on record the age is unknown: never a breach of the law', () => {
    const office = new Office([age, practice], 'America/Los_Angeles', {}, '2026-01-05T09:00');
    const [finding] = office.findings('2026-05-05T00:00');
    expect(finding).toMatchObject({ severity: 'warning', anchor: null });
    expect(finding?.chain.map(({ verdict }) => verdict)).toEqual(['unknown', 'unknown']);
  });

  test('L13: absence is announced on the board only after the settle time', () => {
    const office = offices('2026-07-01T10:00');
    expect(office.board('2026-08-31T20:00').cards).toHaveLength(0);
    expect(office.board('2026-09-01T00:00').cards).toHaveLength(1);
  });
});

describe('a duty before the films of a day', () => {
  const pack = `pack: test/before
layer: practice
duties:
  - id: temperature
    title: Temperature first
    must: [{ event: bath.measured, with: { bath: developer }, has: temperature }, { event: film.processed, has: developer.temperature }]
    per: line
    for: { method: manual }
    before: { event: film.processed }
    severity: warning
    say: 'Films developed on {day} with no temperature reading.'
    $tests
`;
  test('opens at the first film, counts the later ones, clears with the reading; days without films owe nothing', () => {
    const office = new Office(pack);
    office.add('2026-01-20T08:20', 'film.processed', run(4));
    office.add('2026-01-20T08:40', 'film.processed', run(7));
    office.add('2026-01-20T09:15', 'bath.measured', {
      line: 'M1',
      bath: 'developer',
      temperature: { value: 62, unit: '[degF]' },
    });
    office.add('2026-01-20T15:00', 'film.processed', run(7));
    office.add('2026-01-23T15:00', 'film.processed', run(1));
    const [first, second, ...others] = office.findings('2026-02-20T00:00');
    expect(others).toEqual([]);
    expect(first).toMatchObject({
      state: 'cleared',
      occurrences: 2,
      films: 11,
      openedAt: office.at('2026-01-20T08:20'),
    });
    expect(first?.closedAt).toBe(office.at('2026-01-20T09:15'));
    expect(second).toMatchObject({ state: 'open', films: 1, openedAt: office.at('2026-01-23T15:00') });
  });

  test('{day} is the day of the films by the clock of the site, however long the words stand', () => {
    const office = new Office(pack);
    // Already Wednesday in UTC.
    office.add('2026-01-20T20:30', 'film.processed', run(4));
    expect(office.board('2026-02-03T08:00').cards[0]?.what).toBe(
      'Films developed on Tue 20 Jan with no temperature reading.',
    );
    office.add('2026-01-23T15:00', 'film.processed', run(1));
    expect(office.findings('2026-02-03T08:00').map(({ said }) => said.map(({ message }) => message))).toEqual([
      [
        'Films developed on Tue 20 Jan with no temperature reading.',
        'Films developed on Fri 23 Jan with no temperature reading.',
      ],
    ]);
  });
});

describe('a duty after each film', () => {
  const pack = `pack: test/after
layer: practice
duties:
  - id: refix
    title: Fix and wash chairside films
    must: { event: film.refixed }
    per: line
    for: { method: chairside }
    after: { event: film.processed, with: { method: chairside } }
    within: 24 h
    eachFilm: true
    severity: warning
    say: '{count} left'
    $tests
`;
  const office = new Office(pack);
  for (const time of ['09:05', '09:20', '09:40', '10:00', '10:20']) {
    office.add(`2026-03-11T${time}`, 'film.processed', run(1, 'chairside', 'C1'));
  }
  const fixing = {
    line: 'C1',
    fixer: { time: { value: 10, unit: 'min' } },
    wash: { time: { value: 20, unit: 'min' } },
  };
  office.add('2026-03-11T12:30', 'film.refixed', { ...fixing, count: 4 });
  office.add('2026-03-12T11:05', 'film.refixed', { ...fixing, count: 1 });

  test('is one row of the due list and one finding, however many films', () => {
    expect(office.due('2026-03-11T12:30')).toMatchObject([
      { text: 'Fix and wash chairside films: 1 of 5 still to do, by Thu 10:20.', count: 1 },
    ]);
    expect(office.findings('2026-03-12T10:19')).toEqual([]);
    expect(office.findings('2026-03-12T10:20')).toMatchObject([
      { message: '1 left', openedAt: office.at('2026-03-12T10:20') },
    ]);
    expect(office.findings()).toMatchObject([{ state: 'cleared', films: 1, closedAt: office.at('2026-03-12T11:05') }]);
  });

  test('films of several runs that run out one after another share the finding', () => {
    const late = new Office(pack);
    late.add('2026-03-11T09:00', 'film.processed', run(2, 'chairside', 'C1'));
    late.add('2026-03-11T09:30', 'film.processed', run(1, 'chairside', 'C1'));
    expect(late.findings('2026-03-12T12:00')).toMatchObject([{ message: '3 left', films: 3 }]);
    late.add('2026-03-12T12:00', 'film.refixed', { ...fixing, count: 2 });
    expect(late.findings()).toMatchObject([{ state: 'open' }]);
    late.add('2026-03-12T12:30', 'film.refixed', { ...fixing, count: 1 });
    expect(late.findings()).toMatchObject([{ state: 'cleared' }]);
  });
});

describe('a duty counted only in use, and by films', () => {
  const pack = `pack: test/used
layer: practice
duties:
  - id: safelight
    title: Safelight test
    must: { event: darkroom.checked, with: { test: safelight } }
    per: site
    every: 1 mo
    counts: whenUsed
    severity: advice
    say: Safelight not tested for a month.
    $tests
  - id: rollers
    title: Clean rollers
    must: { event: equipment.cleaned }
    per: line
    for: { method: manual }
    every: { films: 30 }
    severity: advice
    say: Clean.
    $tests
`;
  test('L13: opens at the first film after its due instant', () => {
    const office = new Office(pack);
    office.add('2026-01-10T08:00', 'darkroom.checked', {
      line: 'M1',
      test: 'safelight',
      lights: 'safelight',
      outlineSeen: false,
    });
    expect(office.findings('2026-05-01T00:00')).toEqual([]);
    office.add('2026-05-04T08:00', 'film.processed', run(1));
    expect(office.findings()).toMatchObject([
      { rule: 'test/used/safelight', openedAt: office.at('2026-05-04T08:00'), dueAt: office.at('2026-02-11T00:00') },
    ]);
  });
  test('opens with the film that goes beyond the number', () => {
    const office = new Office(pack);
    office.add('2026-01-12T08:00', 'film.processed', run(30));
    expect(office.findings()).toEqual([]);
    office.add('2026-01-12T09:00', 'film.processed', run(1));
    expect(office.findings()).toMatchObject([{ rule: 'test/used/rollers' }]);
    office.add('2026-01-12T10:00', 'equipment.cleaned', { line: 'M1', part: 'tank' });
    expect(office.findings()).toMatchObject([{ state: 'cleared' }]);
  });
});

test('time alone changes a site also when packs end or a change of zone waits: a sweep knows when', () => {
  const ending = `pack: test/ending
layer: practice
to: 2026-03-31
checks:
  - id: lasting
    title: Lasting
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    severity: warning
    say: off
    $tests
`;
  const office = new Office(ending);
  office.add('2026-03-02T08:00', 'stepwedge.read', { line: 'M1', difference: { steps: 3, direction: 'lighter' } });
  expect(office.fold().state.nextDue).toBe(office.at('2026-04-01T00:00'));
  expect(office.findings('2026-04-01T00:00')).toMatchObject([
    { state: 'lapsed', closedAt: office.at('2026-04-01T00:00') },
  ]);
  const site = { name: 'Test office', jurisdictions: ['us'], lines: [{ id: 'M1', method: 'manual' }], tubes: [] };
  office.add('2026-03-02T09:00', 'site.configured', { ...site, zone: 'America/Denver' });
  expect(office.fold().state.nextDue).toBe(office.at('2026-03-03T00:00'));
});

test('the due list is as of its instant: nothing is broken before its day; other years are named; what is past was due', () => {
  const office = offices('2026-01-08T12:30');
  const [item] = office.due('2026-03-02T08:00');
  expect(item?.chain.map(({ verdict }) => verdict)).toEqual(['met', 'met']);
  expect(item).toMatchObject({ overdue: false, severity: 'law' });
  expect(office.due('2026-03-10T08:00')[0]).toMatchObject({
    overdue: true,
    text: 'Change M1 chemistry: was due by Sun 8 Mar.',
  });
  const winter = offices('2026-11-16T12:30');
  expect(winter.due('2026-12-30T08:00')[0]?.text).toBe('Change M1 chemistry by Fri 15 Jan 2027.');
});

test('a pattern that names a sign is met by an event whose list holds it', () => {
  const office = new Office(`pack: test/signs
layer: clinic
duties:
  - id: look
    title: Look at the bath after a light film
    must: { event: bath.measured }
    per: site
    after: { event: film.reviewed, with: { signs: [light_image, clear_film] } }
    within: 2 h
    severity: advice
    say: Look.
    $tests
`);
  office.add('2026-03-02T08:00', 'film.reviewed', { film: 'a', signs: ['dark_image'] });
  expect(office.findings('2026-03-02T18:00')).toEqual([]);
  const films = (id: string) => ({ line: 'M1', method: 'manual', films: [id] });
  office.add('2026-03-03T08:00', 'film.processed', films('b'));
  office.add('2026-03-03T09:00', 'film.reviewed', { film: 'b', signs: ['fogged', 'light_image'] });
  expect(office.due('2026-03-03T09:30').map(({ rule }) => rule)).toEqual(['test/signs/look']);
});
