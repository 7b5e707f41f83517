/**
 * A heuristic, and called one: it refuses free text that looks as if it named a patient. It cannot prove that a text
 * names nobody, so the fields for free text say in their description that no patient belongs there. Ids are never
 * guessed at, and the `patient` token never comes here: it is hashed first (law L32).
 */
export interface IdentityHit {
  readonly kind:
    'social security number' | 'e-mail address' | 'telephone number' | 'date of birth' | 'record number' | 'name';
}

interface Pattern extends IdentityHit {
  readonly pattern: RegExp;
}

// Every quantifier is bounded or followed by something it cannot match: texts of 500 characters cost microseconds.
const patterns: readonly Pattern[] = [
  { kind: 'social security number', pattern: /(?<![\d-])\d{3}[- ]\d{2}[- ]\d{4}(?![\d-])/ },
  { kind: 'social security number', pattern: /\b(?:ssn|social security)\b[^\d]{0,20}\d{4,9}\b/i },
  { kind: 'e-mail address', pattern: /[a-z0-9._%+-]{1,64}@[a-z0-9-]{1,63}\.[a-z]{2,}/i },
  { kind: 'telephone number', pattern: /(?<![\d.-])(?:\+?1[-. ]?)?(?:\(\d{3}\) ?|\d{3}[-. ])\d{3}[-. ]\d{4}(?![\d-])/ },
  { kind: 'telephone number', pattern: /(?<![\d.])\+\d{1,3}[- .]?(?:\d[- .]?){7,12}(?!\d)/ },
  { kind: 'telephone number', pattern: /\b(?:tel|phone|cell|mobile)\b[ .:#]{0,3}\+?\d[\d ().-]{6,}/i },
  { kind: 'date of birth', pattern: /\b(?:dob|d\.o\.b\.?|date of birth|birth ?date|birthday|born(?: on)?)[ :=]{1,3}\(?[\da-z]/i },
  { kind: 'record number', pattern: /\b(?:mrn|chart|patient id|medical record|insurance|policy)(?: ?(?:no|number|id)\b)?[ .:#]{1,3}[a-z]{0,3}\d{4,}/i },
  // A labelled name: "patient: First Last", "pt First Last", "Mrs. Last". A colon makes one word enough.
  { kind: 'name', pattern: /\b(?:[Pp]atient|PATIENT|[Pp]t|PT)(?:['’]s)?(?: [Nn]ame)?(?: is)? ?[:=] ?\p{Lu}[\p{L}'’-]+/u },
  { kind: 'name', pattern: /\b(?:[Pp]atient|[Pp]t)(?:['’]s)? [Nn]ame is \p{Lu}/u },
  { kind: 'name', pattern: /\b(?:[Pp]atient|[Pp]t)\.?(?: [Nn]ame)?(?: is)? \p{Lu}[\p{Ll}'’-]+,? \p{Lu}[\p{Ll}'’.-]*/u },
  { kind: 'name', pattern: /\b(?:[Ff]irst|[Ll]ast|[Ff]ull|[Ff]amily|[Ss]ur)[ -]?[Nn]ame ?[:=] ?\p{L}{2,}/u },
  { kind: 'name', pattern: /\b(?:Mr|Mrs|Ms|Miss)\.? \p{Lu}[\p{L}'’-]+/u },
]; // prettier-ignore

// Nothing below can match without a digit, an @, or one of these words; most notes have none of them.
const worthALook = /\d|@|\b(?:patient|pt|name|surname|mrs?|ms|miss|birth|dob|born)/i;

/** What in the text looks like a patient's identity; undefined when nothing does. */
export function identityIn(text: string): IdentityHit | undefined {
  if (!worthALook.test(text)) return undefined;
  return patterns.find(({ pattern }) => pattern.test(text));
}

const identityNames =
  /^(?:patient|pt|person)?[-_ ]?(?:(?:first|last|full|family|given|sur)?[-_ ]?names?|initials|dob|birth[-_ ]?(?:date|day)|dateofbirth|ssn|mrn|e?[-_]?mail|phone|telephone|address|gender|sex)$/i;

/** Whether a field's name asks for a patient's identity, so that the refusal can say why there is no such field. */
export function asksForIdentity(field: string): boolean {
  return field.length <= 40 && identityNames.test(field);
}
