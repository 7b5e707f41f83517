import type { FindingState } from '../../engine/finding.js';
import type { Layer, Reading, Severity } from '../../packs/model.js';
import { html, type Html } from './html.js';

/** The words that answers use, in plain language; typed by the code's own lists, so that none can be left out. */

const severities: Readonly<Record<Severity, string>> = {
  law: 'Outside a rule of law, as far as its text was read. It is not a judgement that somebody broke the law.',
  standard: 'Outside a standard of the trade or of a maker.',
  warning: 'Outside common practice, or a record that lacks something.',
  advice: 'Worth a look. Never on the board, only in the weekly list.',
};

const states: Readonly<Record<FindingState, string>> = {
  open: 'It stands.',
  acknowledged: 'It stands, and somebody has seen it.',
  cleared: 'A later event ended it: the bath was changed, the strip came out right.',
  resolved: 'A person closed it, with root cause and action.',
  lapsed: 'Its rule, or the place it applied to, is no longer in force.',
  withdrawn: 'A replay no longer supports it, for example after a retraction. It may come back.',
};

const conditions = {
  clear: 'Nothing to do.',
  check: 'Something to put right; work goes on.',
  hold: 'Patient films wait until a passed re-test. Exposed packets can wait, closed; the dentist decides what cannot.',
};

const layers: Readonly<Record<Layer, string>> = {
  federal: 'Binds.',
  state: 'Binds.',
  county: 'Binds.',
  city: 'Binds. Of layers that bind, the strictest counts.',
  maker: 'A maker’s sheet: answers where the law is silent or defers to it.',
  practice: 'Common practice: judged beside the law, at its own lower severity.',
  clinic: 'The office’s own rules: they only tighten.',
};

const readings: Readonly<Record<Reading, string>> = {
  text: 'The text itself was read. Only this can carry the severity law.',
  agency: 'An agency’s page about it.',
  summary: 'Somebody’s summary of it.',
  draft: 'A draft.',
  practice: 'Common practice, no source.',
};

export function glossary(): Html {
  return html`<h2 id="words">Words</h2>
    ${words('Severities, strongest first: on whose word', severities)} ${words('States of a finding', states)}
    ${words('States of a line or unit, and of a card', conditions)} ${words('Layers: who speaks', layers)}
    ${words('How a source was read', readings)}`;
}

function words(title: string, meanings: Readonly<Record<string, string>>): Html {
  return html`<h3>${title}</h3>
    <table>
      ${Object.entries(meanings).map(
        ([word, meaning]) =>
          html`<tr>
            <td><code>${word}</code></td>
            <td>${meaning}</td>
          </tr>`,
      )}
    </table>`;
}
