import { type Command, Option } from 'commander';
import { InputError } from '../errors.js';
import { chartFailures } from '../grade/chart.js';
import { assertTrued, capHeights, joinFailures, seamFailures } from '../grade/truing.js';
import { cuttingGaps } from '../style/corridor.js';
import type { FitRow } from '../style/fit.js';
import { verdictsOf } from '../style/verdicts.js';
import { formatLength, UNITS, type Unit } from '../units.js';
import type { LoadedStyle } from './load.js';
import { type CommonOptions, isUnit } from './output.js';

/** Options that every command takes. */
export const withCommonOptions = (command: Command): Command =>
  command
    .option('--json', 'print one JSON value for machines')
    .option('--quiet', 'print only what was asked for')
    .addOption(
      new Option('--units <unit>', "units of what is printed (default: the style's own)").choices([...UNITS]),
    );

export const seamErrorsOption = (command: Command): Command =>
  command.option(
    '--allow-seam-errors',
    'go on although seams do not match; stamps markers, paper pattern and report',
  );

/** Options of the search, the same wherever markers are laid; `what` says what the time is for. */
export const withSearchOptions = (command: Command, what = ''): Command =>
  command
    .option('--seconds <n>', `time to search${what}`, secondsOption)
    .option(
      '--iterations <n>',
      `rounds to search${what}, for a result that repeats`,
      wholeNumber('--iterations', 1),
    )
    .option('--seed <n>', 'seed of the search', wholeNumber('--seed', 0))
    .option('--threads <n>', 'worker threads', wholeNumber('--threads', 1));

/** Unit in which a command prints. */
export function unitFor(options: CommonOptions, style: { readonly unit: Unit }): Unit {
  return options.units !== undefined && isUnit(options.units) ? options.units : style.unit;
}

/** A whole number of at least `least` from the command line. @throws InputError */
export function wholeNumber(name: string, least: number): (text: string) => number {
  return (text) => {
    const value = text.trim() === '' ? Number.NaN : Number(text);
    if (!Number.isInteger(value) || value < least) {
      throw new InputError(`${name} must be a whole number of at least ${least}, not '${text}'`);
    }
    return value;
  };
}

/** Seconds above 0, up to a day, from the command line. @throws InputError */
export function secondsOption(text: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (!(value > 0 && value <= LONGEST_SEARCH)) {
    throw new InputError(`--seconds must be a number above 0, up to ${LONGEST_SEARCH}, not '${text}'`);
  }
  return value;
}

const LONGEST_SEARCH = 86_400;

/** A calendar day as files carry it. @throws InputError */
export function dayOption(text: string): Date {
  const date = new Date(`${text}T00:00:00Z`);
  // A date that rolls over, such as 30 February, reads back as another day.
  const isDay = /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(date.getTime());
  if (isDay && date.toISOString().startsWith(text)) return date;
  throw new InputError(`'${text}' is not a day`, { mend: 'write it as 2026-03-31' });
}

/** Stamp that markers, paper pattern and report carry when seams that do not match were let through. */
export const SEAM_STAMP = 'SEAMS DO NOT MATCH: not checked for cutting';

/**
 * Stops a style whose seams do not match, or returns the stamp its outputs must carry.
 *
 * @throws CheckError listing the seams, with what `check` says to do about each.
 */
export function seamGate(loaded: LoadedStyle, allow: boolean): string | undefined {
  const { truing } = loaded.developed;
  if (seamFailures(truing).length === 0) return undefined;
  if (!allow) assertTrued(truing, seamMends(loaded));
  return SEAM_STAMP;
}

function seamMends({ style, developed }: LoadedStyle): string {
  const stops = verdictsOf(style, developed, [], style.unit).filter((v) => v.state === 'stop');
  return stops.map(({ subject, advice }) => `${subject}: ${advice}`).join('; ');
}

/** What a person should know before cutting: joins, cap heights and fit that are not as they should be. */
export function warningsOf(loaded: LoadedStyle, fit: readonly FitRow[], unit: Unit): string[] {
  const { base, chart, truing, range } = loaded.developed;
  const length = (mm: number) => formatLength(mm, unit);
  return [
    ...cuttingGaps(loaded.style, base),
    ...chartFailures(chart).map(
      (cell) =>
        `size ${cell.size}: ${cell.measure} is ${length(cell.measured)}, ${cell.difference?.toFixed(1)} mm off what the increments say; look at the distribution`,
    ),
    ...joinFailures(truing).map(
      (join) =>
        `size ${join.size}: ${join.join} turns ${join.degrees.toFixed(1)} degrees where ${join.tolerance} are allowed; redraw it smooth`,
    ),
    ...capHeights(range)
      .filter((cap) => cap.falls)
      .map(
        (cap) =>
          `size ${cap.size}: the sleeve cap is lower than in the size below (${length(cap.height)}); look at the bicep increment`,
      ),
    ...fit
      .filter((row) => !row.within)
      .map(
        (row) =>
          `size ${row.size}: ${row.check} is ${length(row.measured)}, wanted ${row.wanted}; ${row.advice ?? ''}`,
      ),
  ];
}
