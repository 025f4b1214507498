/** A place in an input file, 1-based. */
export interface SourcePlace {
  readonly file?: string;
  readonly line?: number;
  readonly column?: number;
  /** Dotted path inside the file, such as `alter.2.slash.open`. */
  readonly path?: string;
}

export interface ErrorDetails {
  /** What the user can do about it. */
  readonly mend?: string | undefined;
  readonly place?: SourcePlace;
  readonly cause?: unknown;
}

/** A fault that the user can mend: printed without a stack trace, with its place and the mend. */
export abstract class UserError extends Error {
  readonly mend: string | undefined;
  readonly place: SourcePlace;

  constructor(message: string, details: ErrorDetails = {}) {
    super(message, details.cause === undefined ? undefined : { cause: details.cause });
    this.mend = details.mend;
    this.place = details.place ?? {};
  }

  /** The same error with its place filled in; fields already known are kept. */
  at(place: SourcePlace): this {
    return this.again(this.message, { ...place, ...definedOnly(this.place) });
  }

  /** The same error with words in front of its message. */
  prefixed(head: string): this {
    return this.again(head + this.message, this.place);
  }

  private again(message: string, place: SourcePlace): this {
    const Same = this.constructor as new (message: string, details: ErrorDetails) => this;
    return new Same(message, { mend: this.mend, place, cause: this.cause });
  }
}

/** What the user gave cannot be read or does not fit together. Exit code 2. */
export class InputError extends UserError {
  override readonly name = 'InputError';
}

/**
 * The input is well formed but what it describes fails a check of the trade: a seam that does not match, a
 * cap no height can solve. Exit code 1.
 */
export class CheckError extends UserError {
  override readonly name = 'CheckError';
}

/** Runs `work`; an InputError gets `path` in front of its own. */
export function underPath<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const inner = error.place.path;
    throw new InputError(error.message, {
      mend: error.mend,
      place: { ...error.place, path: inner === undefined ? path : `${path}.${inner}` },
      cause: error,
    });
  }
}

/** `file:line:column (path)`, with only the parts that are known. */
export function formatPlace(place: SourcePlace): string {
  const numbers = [place.line, place.column].filter((n) => n !== undefined);
  const head = [place.file, ...numbers].filter((part) => part !== undefined).join(':');
  if (!place.path) return head;
  return head ? `${head} (${place.path})` : place.path;
}

/** The candidate closest to `word` when it is close enough, `most` changes of a letter, to be a slip of the keyboard. */
export function didYouMean(
  word: string,
  candidates: readonly string[],
  // Two letters swapped count as two changes; in a word of one or two letters that would be another word.
  most = word.length <= 2 ? 1 : Math.max(2, Math.floor(word.length * 0.4)),
): string | undefined {
  let best: string | undefined;
  let bestDistance = most + 1;
  for (const candidate of candidates) {
    const distance = editDistance(word.toLowerCase(), candidate.toLowerCase());
    if (distance < bestDistance) {
      best = candidate;
      bestDistance = distance;
    }
  }
  return best;
}

/** One sentence that offers the nearest known name, or lists the known names. */
export function suggest(word: string, candidates: readonly string[]): string {
  const near = didYouMean(word, candidates);
  if (near) return `did you mean '${near}'?`;
  return candidates.length > 0 ? `known: ${candidates.join(', ')}` : 'none is defined';
}

function editDistance(a: string, b: string): number {
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = previous[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      row.push(Math.min(change, previous[j]! + 1, row[j - 1]! + 1));
    }
    previous = row;
  }
  return previous[b.length]!;
}

function definedOnly(place: SourcePlace): SourcePlace {
  return Object.fromEntries(Object.entries(place).filter(([, value]) => value !== undefined));
}
