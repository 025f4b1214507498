/** A place in an input file, 1-based. */
export interface SourcePlace {
  file?: string;
  line?: number;
  column?: number;
  /** Dotted path inside the file, such as `alter.2.slash.open`. */
  path?: string;
}

/**
 * Something the user gave is wrong and the user can mend it. The command line prints `message` and `mend`
 * without a stack trace and ends with exit code 2.
 */
export class InputError extends Error {
  override readonly name: string = 'InputError';
  readonly mend: string | undefined;
  readonly place: SourcePlace;

  constructor(message: string, options: { mend?: string; place?: SourcePlace; cause?: unknown } = {}) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause });
    this.mend = options.mend;
    this.place = options.place ?? {};
  }

  /** The same error at a more precise place: fields already known are kept. */
  at(place: SourcePlace): InputError {
    const merged = { ...place, ...definedOnly(this.place) };
    const mend = this.mend === undefined ? {} : { mend: this.mend };
    return new InputError(this.message, { ...mend, place: merged, cause: this.cause });
  }
}

/**
 * The input is well formed but what it describes fails a check of the trade: a seam that does not match, a
 * cap no height can solve. Exit code 1.
 */
export class CheckError extends Error {
  override readonly name: string = 'CheckError';
  readonly mend: string | undefined;

  constructor(message: string, options: { mend?: string; cause?: unknown } = {}) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause });
    this.mend = options.mend;
  }
}

/** `file:line:column (path)`, with only the parts that are known. */
export function formatPlace(place: SourcePlace): string {
  const numbers = [place.line, place.column].filter((n) => n !== undefined);
  const head = [place.file, ...numbers].filter((part) => part !== undefined).join(':');
  if (!place.path) return head;
  return head ? `${head} (${place.path})` : place.path;
}

/** The candidate closest to `word` when it is close enough to be a slip of the keyboard. */
export function didYouMean(word: string, candidates: readonly string[]): string | undefined {
  let best: string | undefined;
  let bestDistance = Math.max(1, Math.floor(word.length * 0.4)) + 1;
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
