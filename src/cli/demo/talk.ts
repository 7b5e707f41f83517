import type { FindingState } from '../../engine/finding.js';
import type { Severity } from '../../packs/model.js';
import type { SentEvent } from './teller.js';

/** What the demo reads of a finding as the API shows it; instants are RFC 3339. */
export interface ShownFinding {
  readonly id: string;
  readonly site: string;
  readonly rule: string;
  readonly kind: 'check' | 'duty';
  readonly severity: Severity;
  readonly state: FindingState;
  readonly openedAt: string;
  readonly closedAt?: string;
  readonly closedBy?: { readonly type?: string };
  readonly easedAt?: string;
  readonly chain: readonly { readonly severity: Severity; readonly verdict: string; readonly bound?: number }[];
  readonly citation: { readonly text: string };
  readonly line?: string;
  readonly tube?: string;
  readonly message: string;
  readonly said: readonly { readonly at: string; readonly message: string }[];
  readonly advise?: string;
  readonly retest?: string;
  readonly hold?: string;
  readonly films: number;
}
export interface ShownDue {
  readonly line?: string;
  readonly tube?: string;
  readonly text: string;
  readonly due: string;
  readonly overdue: boolean;
}
export interface ShownBoard {
  readonly state: 'clear' | 'check' | 'hold';
}

interface Answer {
  readonly results: readonly {
    readonly id?: string;
    readonly status: string;
    readonly problem?: { readonly detail?: string };
  }[];
}

/** The demo's side of the conversation: everything goes over HTTP with the key that anybody would use. */
export class Talk {
  constructor(
    readonly url: string,
    readonly key: string,
  ) {}

  /** Posts one batch. @throws when the server answers with a problem, or refuses any of the events. */
  async post(events: readonly SentEvent[]): Promise<void> {
    const answer = await this.#ask<Answer>('/v1/events', {
      method: 'POST',
      headers: { 'content-type': 'application/cloudevents-batch+json' },
      body: JSON.stringify(events),
    });
    const refused = answer.results.find(({ status }) => status === 'rejected');
    if (refused)
      throw new Error(
        `The server refused ${refused.id ?? 'an event'}: ${refused.problem?.detail ?? 'no reason given'}`,
      );
  }

  /** Every finding there is, page by page, and what the API says beside them. */
  async findings(): Promise<{ findings: ShownFinding[]; caution: string }> {
    const findings: ShownFinding[] = [];
    for (let path = '/v1/findings?limit=100'; ;) {
      const page = await this.#ask<{ items: ShownFinding[]; next?: string | null; caution: string }>(path);
      findings.push(...page.items);
      if (!page.next) return { findings, caution: page.caution };
      path = `/v1/findings?limit=100&cursor=${encodeURIComponent(page.next)}`;
    }
  }

  async due(site: string): Promise<readonly ShownDue[]> {
    return (await this.#ask<{ items: readonly ShownDue[] }>(`/v1/sites/${site}/due`)).items;
  }

  board(site: string): Promise<ShownBoard> {
    return this.#ask<ShownBoard>(`/v1/sites/${site}/board`);
  }

  async #ask<T>(path: string, init: RequestInit = {}): Promise<T> {
    const headers = new Headers(init.headers);
    headers.set('authorization', `Bearer ${this.key}`);
    const response = await fetch(this.url + path, { ...init, headers });
    const text = await response.text();
    if (!response.ok)
      throw new Error(`${init.method ?? 'GET'} ${path} was answered ${response.status}: ${text.slice(0, 500)}`);
    return JSON.parse(text) as T;
  }
}
