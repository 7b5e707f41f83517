import { html, type Html } from './html.js';

export function page(title: string, body: Html): string {
  return html`<!doctype html>
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>${title}</title>
        <link rel="stylesheet" href="/docs/style.css" />
      </head>
      <body>
        <h1>${title}</h1>
        ${body}
      </body>
    </html> `.text;
}
