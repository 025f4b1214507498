import { formatPlace, UserError } from '../errors.js';
import { UNITS, type Unit } from '../units.js';

export const EXIT = { done: 0, check: 1, usage: 2, stopped: 130 } as const;

/** What commands print through, so that tests and other front ends can listen. */
export interface Console {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
  /** Whether messages go to a person who sees a terminal. */
  readonly live: boolean;
}

export const systemConsole: Console = {
  out: (text) => process.stdout.write(`${text}\n`),
  err: (text) => process.stderr.write(`${text}\n`),
  live: process.stderr.isTTY === true,
};

/** Options that every command takes. */
export interface CommonOptions {
  readonly json?: boolean;
  readonly quiet?: boolean;
  readonly units?: Unit;
}

export const isUnit = (text: string): text is Unit => UNITS.some((unit) => unit === text);

/** A table for people: columns as wide as their longest cell, numbers to the right. */
export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const all = [head, ...rows];
  const widths = head.map((_, i) => Math.max(...all.map((row) => (row[i] ?? '').length)));
  const numeric = head.map((_, i) =>
    rows.every((row) => /^[-+]?[\d ./]*\d?( ?%|"| [a-z0-9/]+)?$|^$/.test(row[i] ?? '')),
  );
  const line = (row: readonly string[]) =>
    row
      .map((cell, i) => (numeric[i] && i > 0 ? cell.padStart(widths[i]!) : cell.padEnd(widths[i]!)))
      .join('  ')
      .trimEnd();
  return [line(head), widths.map((w) => '-'.repeat(w)).join('  '), ...rows.map(line)].join('\n');
}

/** An error as the user reads it: what, where, and the mend. */
export function describeError(error: unknown): { text: string; code: number } {
  if (!(error instanceof UserError)) {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    return { text: `unexpected fault of the program\n${text}`, code: EXIT.check };
  }
  const place = formatPlace(error.place);
  const lines = [`error: ${error.message}`];
  if (place) lines.push(`  in ${place}`);
  if (error.mend) lines.push(`  mend: ${error.mend}`);
  return { text: lines.join('\n'), code: error.name === 'CheckError' ? EXIT.check : EXIT.usage };
}

/** One line that is written over itself while work goes on; silent where nobody watches. */
export function liveLine(
  console: Console,
  quiet: boolean,
): { show: (text: string) => void; clear: () => void } {
  if (!console.live || quiet) return { show: () => {}, clear: () => {} };
  return {
    show: (text) => process.stderr.write(`\r${text}\u001b[K`),
    clear: () => process.stderr.write('\r\u001b[K'),
  };
}
