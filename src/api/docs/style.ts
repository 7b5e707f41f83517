/** The stylesheet of the documentation pages. */
export const style = `
:root { color-scheme: light dark; --ink: #1d2327; --soft: #5b6670; --line: #d5dbe0; --ground: #fff; --code: #f3f5f7; --link: #0b5c8a; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e4e8eb; --soft: #9aa6b0; --line: #38424a; --ground: #15191c; --code: #1f262b; --link: #6fb9e6; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 62rem; padding: 1.5rem 1.25rem 4rem; font: 16px/1.55 system-ui, sans-serif; color: var(--ink); background: var(--ground); }
a { color: var(--link); }
h1 { margin: 0 0 .5rem; font-size: 1.7rem; }
h2 { margin: 2.5rem 0 .25rem; padding-top: .5rem; border-top: 1px solid var(--line); font-size: 1.3rem; }
h3 { margin: 2rem 0 .25rem; font-size: 1.05rem; }
h3 code { font-size: 1rem; background: none; padding: 0; }
.method { display: inline-block; min-width: 4.8rem; font-weight: 700; }
.soft { color: var(--soft); }
code, pre { font-family: ui-monospace, monospace; font-size: .88rem; background: var(--code); border-radius: 4px; }
code { padding: .1em .3em; }
pre { padding: .75rem 1rem; overflow-x: auto; }
pre code { padding: 0; background: none; }
table { border-collapse: collapse; width: 100%; margin: .5rem 0; }
th, td { text-align: left; vertical-align: top; padding: .3rem .75rem .3rem 0; border-bottom: 1px solid var(--line); }
details > summary { cursor: pointer; color: var(--link); margin: .5rem 0; }
nav p { margin: .75rem 0 .1rem; }
nav ul { margin: 0; padding: 0; list-style: none; }
td, td code { overflow-wrap: anywhere; }
.fields { table-layout: fixed; }
.fields th:nth-child(1) { width: 28%; }
.fields th:nth-child(2) { width: 34%; }
@media (max-width: 40rem) { .method { min-width: 3.6rem; } body { padding: 1rem .75rem 3rem; } }
`;
