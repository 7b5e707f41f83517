/** HTML by template: whatever is put in is escaped, unless it is HTML already. */
export class Html {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
  toString(): string {
    return this.text;
  }
}

type Part = Html | string | number | undefined | false | readonly Part[];

export function html(texts: TemplateStringsArray, ...parts: readonly Part[]): Html {
  return new Html(texts.reduce((all, text, i) => all + written(parts[i - 1]) + text));
}

function written(part: Part): string {
  if (part === undefined || part === false) return '';
  if (part instanceof Html) return part.text;
  if (Array.isArray(part)) return part.map(written).join('');
  return escape(String(part as string | number));
}

const entities: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

function escape(text: string): string {
  return text.replaceAll(/[&<>"']/g, (character) => entities[character] ?? character);
}

/** `code` in a sentence. */
export function inline(text: string): Html {
  return html`${text.split('`').map((piece, i) => (i % 2 === 1 ? html`<code>${piece}</code>` : html`${piece}`))}`;
}

/** The same, and paragraphs at empty lines. */
export function prose(text: string): Html {
  return html`${text.split('\n\n').map((paragraph) => html`<p>${inline(paragraph)}</p>`)}`;
}
