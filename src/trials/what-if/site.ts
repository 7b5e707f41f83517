import { indexFilms } from '../../engine/apply/films.js';
import type { Finding } from '../../engine/finding.js';
import { advance, createState, nextDue, step } from '../../engine/fold.js';
import { caps, type SiteState } from '../../engine/state.js';
import type { AnyEvent } from '../../events/event.js';
import type { PackBook } from '../../packs/book.js';
import { Cards } from './cards.js';
import { Gaps, type Gap } from './gaps.js';
import { prune } from './slice.js';

/** What all rules outside a slice have found at a site, at most: how many were open at once, how many ever closed. */
export interface Crowd {
  readonly open: number;
  readonly closed: number;
}

/** How one site is tried. */
export interface SitePlan {
  readonly before: PackBook;
  readonly after: PackBook;
  /** The rules on trial. */
  readonly affected: ReadonlySet<string>;
  /** The rules that the books hold, where these are not all. */
  readonly slice?: ReadonlySet<string>;
  /** Needed for a slice. */
  readonly crowd?: Crowd;
  /** A folded state to go on from, as JSON; absent: from the first event. */
  readonly start?: string;
  /** From when on the packs on trial stand, ms; absent: from ever on. */
  readonly since?: number | undefined;
  /** What both folds say of a finding, once neither can touch it any more. */
  readonly told: (site: string, before: Finding | undefined, after: Finding | undefined) => void;
}

interface Side {
  readonly state: SiteState;
  readonly book: PackBook;
  readonly cards: Cards;
  /** By id, as they last stood: records of the state, which changes them in place. */
  readonly findings: Map<string, Finding>;
}

/** What one site came to. */
export interface SiteEnd {
  readonly site: string;
  readonly events: number;
  /** Weeks with anything recorded since the packs stand. */
  readonly weeks: number;
  /** New cards of the rules on trial, and apart from them those that are holds. */
  readonly cards: { readonly before: number; readonly after: number };
  readonly holds: { readonly before: number; readonly after: number };
  readonly gaps: readonly Gap[];
}

const day = 86_400_000;
/** Weeks begin on Mondays; the first of 1970 was its fifth day. */
const weekOf = (at: number) => Math.floor((at - 4 * day) / (7 * day));

/** Findings kept of a site before those are handed over that have left both states. */
const mostKept = 2000;

/**
 * Both folds of one site, side by side, an event at a time: the fold of live intake, twice. Memory is bounded whatever
 * the length of the ledger.
 */
export class SiteTrial {
  readonly #plan: SitePlan;
  readonly #before: Side;
  readonly #after: Side;
  readonly #gaps: Gaps;
  readonly #since: number;
  #site = '';
  #events = 0;
  readonly #weeks = new Set<number>();
  /** The slice can no longer stand for the whole: fold the site again with every rule. */
  crowded = false;

  constructor(plan: SitePlan) {
    this.#plan = plan;
    this.#since = plan.since ?? -Infinity;
    this.#before = side(plan, plan.before);
    this.#after = side(plan, plan.after);
    this.#gaps = new Gaps(plan.affected);
    if (plan.slice !== undefined && plan.crowd === undefined) this.crowded = true;
  }

  /** Events in order of their keys, without those that were taken back. */
  step(event: AnyEvent): void {
    this.#site = event.site;
    this.#events += 1;
    if (event.at >= this.#since && event.type !== 'site.configured') this.#weeks.add(weekOf(event.at));
    this.#gaps.sent(event.type);
    if (this.#plan.slice !== undefined) this.#watch(event);
    for (const one of [this.#before, this.#after]) {
      one.cards.upTo(event.at);
      this.#keep(one, step(one.state, event, one.book, one === this.#after ? this.#gaps.probe : undefined));
    }
  }

  /** Now and then, so that memory stays bounded: what neither state holds any more is told and forgotten. */
  settle(): void {
    this.#gaps.note(this.#after.state);
    if (this.#before.findings.size + this.#after.findings.size < 2 * mostKept) return;
    const held = new Set(
      [this.#before, this.#after].flatMap(({ state }) => [
        ...Object.keys(state.findings),
        ...state.closed.map(({ id }) => id),
      ]),
    );
    this.#tell((id) => !held.has(id));
  }

  /** Time passes to `to` (ms), and the site is done. */
  end(to: number): SiteEnd {
    for (const one of [this.#before, this.#after]) {
      if (to > one.state.at) {
        one.cards.upTo(to);
        this.#keep(one, advance(one.state, to, one.book));
      }
      one.cards.upTo(to);
    }
    this.#gaps.note(this.#after.state);
    this.#tell(() => true);
    const { state, book } = this.#after;
    return {
      site: this.#site,
      events: this.#events,
      weeks: this.#weeks.size,
      cards: { before: this.#before.cards.count, after: this.#after.cards.count },
      holds: { before: this.#before.cards.holds, after: this.#after.cards.holds },
      gaps: state.site === null ? [] : this.#gaps.list(book.at(state.at, state.site)),
    };
  }

  #keep(one: Side, touched: readonly Finding[]): void {
    if (touched.length === 0) return;
    for (const finding of touched) one.findings.set(finding.id, finding);
    one.cards.touched(touched);
    const open = this.#plan.crowd?.open ?? 0;
    if (this.#plan.slice !== undefined && open + Object.keys(one.state.findings).length >= caps.findings)
      this.crowded = true;
  }

  /**
   * The rings of a state are shared by all rules: what people say of a finding finds it among the last hundred that were
   * closed, whosever they were; and a failed instrument puts in doubt what it still remembers. Where others may have
   * pushed something out that the slice still has, the slice is no longer the whole.
   */
  #watch(event: AnyEvent): void {
    if (event.type === 'instrument.checked') {
      const { used } = this.#after.state.instruments[event.data.instrument] ?? {};
      const usedBefore = this.#before.state.instruments[event.data.instrument]?.used;
      if (used !== undefined || usedBefore !== undefined) this.crowded = true;
      return;
    }
    if (!event.type.startsWith('finding.') && event.type !== 'cause.confirmed') return;
    const { rule, finding } = event.data as { rule?: string; finding?: string };
    const concerned =
      (rule !== undefined && this.#plan.slice?.has(rule) === true) ||
      (finding !== undefined && (this.#before.findings.has(finding) || this.#after.findings.has(finding)));
    const closed = Math.max(this.#before.state.closed.length, this.#after.state.closed.length);
    if (concerned && closed > 0 && (this.#plan.crowd?.closed ?? 0) + closed >= caps.closed) this.crowded = true;
  }

  #tell(isDone: (id: string) => boolean): void {
    const [before, after] = [this.#before.findings, this.#after.findings];
    for (const id of new Set([...before.keys(), ...after.keys()])) {
      if (!isDone(id)) continue;
      this.#plan.told(this.#site, before.get(id), after.get(id));
      before.delete(id);
      after.delete(id);
    }
  }
}

function side({ start, slice, affected, since }: SitePlan, book: PackBook): Side {
  const state = start === undefined ? createState() : (JSON.parse(start) as SiteState);
  if (start !== undefined) {
    if (slice !== undefined) prune(state, slice);
    state.nextDue = nextDue(state, book);
  }
  indexFilms(state);
  const standing = [...state.closed, ...Object.values(state.findings)];
  return {
    state,
    book,
    cards: new Cards(state, book, affected, since),
    findings: new Map(standing.map((finding) => [finding.id, finding])),
  };
}
