const special = /[\\^$.*+?()[\]{}|]/g;
const wordy = /[\p{L}\p{N}]/u;

/** Whether a text holds these words whole: "0 days" is not in "60 days", nor "5 min" in "4.5 min" or "-5 min". */
export function holdsWords(text: string, words: string): boolean {
  if (words === '') return true;
  const starts = wordy.test(words[0] ?? '') ? String.raw`(?<![\p{L}\p{N}])(?<!\p{N}[.,:])` : '';
  const sign = /^\p{N}/u.test(words) ? String.raw`(?<!(?:^|[^\p{L}\p{N}])[-−])` : '';
  const ends = wordy.test(words.at(-1) ?? '') ? String.raw`(?![\p{L}\p{N}])(?![.,:]\p{N})` : '';
  return new RegExp(starts + sign + words.replace(special, String.raw`\$&`) + ends, 'u').test(text);
}
