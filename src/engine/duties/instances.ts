import type { AnyEvent } from '../../events/event.js';
import type { RuleSet, Said } from '../../packs/book.js';
import type { Duty, EventPattern } from '../../packs/model.js';
import { selects } from '../../packs/selector.js';
import { sceneOf, type Moment } from '../moment.js';
import { wordIn } from '../refs.js';
import type { DutyState, SiteState } from '../state.js';

export function dutyKey(rule: string, line?: string, bath?: string, tube?: string): string {
  return [rule, line ?? '', bath ?? '', tube ?? ''].join('|');
}

/** The subjects a duty is owed for at a site as it is set up now: one of it, or one a line, bath or tube. */
function subjects(state: SiteState, duty: Said<Duty>): { line?: string; bath?: string; tube?: string }[] {
  const lines = Object.values(state.lines).filter((line) => line.config.ended !== true);
  switch (duty.per) {
    case 'site':
      return [{}];
    case 'line':
      return lines.filter((line) => selects(duty.for, sceneOf(line))).map((line) => ({ line: line.id }));
    case 'bath':
      return lines.flatMap((line) =>
        ['developer', 'fixer']
          .filter((bath) => selects(duty.for, sceneOf(line, bath)))
          .map((bath) => ({ line: line.id, bath })),
      );
    case 'tube':
      return Object.values(state.tubes)
        .filter((tube) => tube.config.ended !== true)
        .map((tube) => ({ tube: tube.id }));
  }
}

/**
 * Bring the duties' instances in line with the rules and the configuration in force from `at` on. A duty that comes to
 * a site, with its rule, with the jurisdiction or with the line, is owed from then on, not from before it was owed there.
 */
export function ensureDuties(
  state: SiteState,
  rules: RuleSet,
  at: number,
  begin: (duty: Said<Duty>, instance: DutyState) => void,
): void {
  const wanted = new Set<string>();
  for (const duty of rules.duties)
    for (const { line, bath, tube } of subjects(state, duty)) {
      const key = dutyKey(duty.id, line, bath, tube);
      wanted.add(key);
      if (state.duties[key] !== undefined) continue;
      const instance: DutyState = {
        rule: duty.id,
        line,
        bath,
        tube,
        done: null,
        since: at,
        films: 0,
        pending: [],
        batch: 0,
        look: null,
      };
      state.duties[key] = instance;
      begin(duty, instance);
    }
  for (const key of Object.keys(state.duties)) if (!wanted.has(key)) delete state.duties[key];
}

const interested = new WeakMap<RuleSet, Map<string, Said<Duty>[]>>();

/** The duties that an event of this type can satisfy, trigger or count for. */
export function dutiesAbout(rules: RuleSet, type: string): readonly Said<Duty>[] {
  let byType = interested.get(rules);
  if (byType === undefined) interested.set(rules, (byType = new Map()));
  let list = byType.get(type);
  if (list === undefined) {
    list = rules.duties.filter((duty) => namedBy(duty).some((pattern) => pattern.event === type) || isUse(type));
    byType.set(type, list);
  }
  return list;
}

function namedBy({ must, cadence }: Duty): readonly EventPattern[] {
  return [
    ...must,
    ...(cadence.kind === 'before' ? cadence.before : []),
    ...(cadence.kind === 'after' ? [...cadence.after, ...(cadence.before ?? [])] : []),
  ];
}

/** Use of a line is developing films; of a tube, exposing them. */
export function isUse(type: string): boolean {
  return type === 'film.processed' || type === 'film.exposed';
}

/** The instances of a duty that an event speaks of: its own line, bath and tube, or all where it names none. */
export function instancesFor(state: SiteState, duty: Said<Duty>, event: AnyEvent): DutyState[] {
  const [line, bath, tube] = ['line', 'bath', 'tube'].map((name) => wordIn(event, name));
  const exact = (key: string) => {
    const instance = state.duties[key];
    return instance === undefined ? [] : [instance];
  };
  switch (duty.per) {
    case 'site':
      return exact(dutyKey(duty.id));
    case 'line':
      return line === undefined ? all(state, duty) : exact(dutyKey(duty.id, line));
    case 'bath':
      if (line === undefined) return all(state, duty);
      return (bath === undefined ? ['developer', 'fixer'] : [bath]).flatMap((name) =>
        exact(dutyKey(duty.id, line, name)),
      );
    case 'tube':
      return tube === undefined ? [] : exact(dutyKey(duty.id, undefined, undefined, tube));
  }
}

function all(state: SiteState, duty: Said<Duty>): DutyState[] {
  return Object.values(state.duties).filter((instance) => instance.rule === duty.id);
}

/** The moment a duty is judged at: its own line, bath or tube, with or without an event. */
export function dutyMoment(
  base: Pick<Moment, 'at' | 'state' | 'site' | 'rules' | 'event'>,
  instance: DutyState,
  owing: Moment['owing'],
): Moment {
  const line = instance.line === undefined ? undefined : base.state.lines[instance.line];
  const bath = instance.bath === undefined ? undefined : line?.baths[instance.bath];
  return {
    ...base,
    line,
    bath: bath !== undefined && instance.bath !== undefined ? { name: instance.bath, state: bath } : undefined,
    tube: instance.tube === undefined ? undefined : base.state.tubes[instance.tube],
    scene: sceneOf(line, instance.bath),
    relied: new Map(),
    owing,
  };
}
