import { Command, Option } from 'commander';
import { InputError, UserError } from '../errors.js';
import {
  chartCsv,
  DELTA_BASES,
  type DeltaBase,
  fileName,
  fitCsv,
  gradeByTable,
  growthCsv,
  type OutputFile,
  piecesSvg,
  readRulePoints,
  readRuleTable,
  rulePointsCsv,
  ruleTableOf,
  sizeNestPdf,
  sizeNestSvg,
  truingCsv,
  writeAll,
  writeRuleTable,
} from '../exchange/index.js';
import { growthRows } from '../grade/index.js';
import type { Pattern } from '../pattern/model.js';
import { pieceOf, pointOf, pointsOf } from '../pattern/model.js';
import { developStyle, fitTable } from '../style/index.js';
import type { Unit } from '../units.js';
import { dayOption, unitFor, withCommonOptions } from './common.js';
import { chartTable, fitTableText, growthTable, jumpNotes } from './grade-tables.js';
import { type LoadedStyle, loadStyle, readText } from './load.js';
import { type CommonOptions, type Console, systemConsole } from './output.js';

interface GradeOptions extends CommonOptions {
  readonly out?: string;
  readonly stack?: readonly string[];
  readonly date?: Date;
  readonly rules?: string;
  readonly rulePoints?: string;
  readonly deltaBase?: DeltaBase;
}

/** `walewise grade`: size chart, growth and fit, and drawings of the graded pieces. */
export function gradeCommand(console: Console = systemConsole): Command {
  const command = new Command('grade')
    .description('grade the altered base to its size range; print size chart, growth and fit')
    .argument('<style>', 'style file')
    .option('--out <folder>', 'write tables, pieces of every size, size nests and the rule table there')
    .option('--stack <point...>', 'stack size nests at this point, such as neck-point or sleeve.crown')
    .option('--date <day>', 'date in the files', dayOption)
    .option('--rules <file>', "grade by this rule table in place of the style's increments")
    .option('--rule-points <file>', 'CSV of piece, point and rule number that goes with --rules')
    .addOption(
      new Option(
        '--delta-base <base>',
        'what deltas count from: in a table read, where it does not tell; in the one written (default: sample)',
      ).choices([...DELTA_BASES]),
    );
  return withCommonOptions(command).action(async (file: string, options: GradeOptions) => {
    const own = await loadStyle(file);
    const loaded = options.rules === undefined ? own : await gradedByTable(own, options, console);
    const unit = unitFor(options, loaded.style);
    const { chart, range } = loaded.developed;
    const growth = growthRows(range, chart);
    const fit = fitTable(loaded.style, range);
    if (options.json) {
      console.out(JSON.stringify({ style: loaded.style.name, unit: 'mm', chart, growth, fit }, null, 2));
    } else {
      console.out(chartTable(chart, unit));
      console.out(`\n${growthTable(growth, unit)}`);
      if (fit.length > 0) console.out(`\n${fitTableText(fit, unit)}`);
      for (const note of jumpNotes(growth, unit)) console.out(`note: ${note}`);
      const bodiless = range.sizes.map((s) => s.size).filter((size) => !fit.some((f) => f.size === size));
      if (bodiless.length > 0) {
        console.out(`note: no body measurements for ${bodiless.join(', ')}: their fit is not looked at`);
      }
    }
    if (options.out === undefined) return;
    const date = options.date ?? new Date();
    const stack = stackPoints(loaded.developed.base, options.stack ?? []);
    const files = await gradeFiles(loaded, unit, date, { stack, ...deltaBaseOf(options) });
    const written = await writeAll(options.out, files);
    if (!options.quiet && !options.json) console.out(`\nwrote ${written.join('\n      ')}`);
  });
}

export interface GradeFilesOptions {
  /** Point by piece that all sizes share in its size nest. */
  readonly stack?: Readonly<Record<string, string>>;
  /** What the deltas of the rule table count from. */
  readonly deltaBase?: DeltaBase;
  /** Warning that drawings bear: see `SEAM_STAMP`. */
  readonly stamp?: string;
}

/** Files of a graded range: tables, pieces of every size, a size nest of every piece, and the rule table. */
export async function gradeFiles(
  { style, developed }: LoadedStyle,
  unit: Unit,
  date: Date,
  how: GradeFilesOptions = {},
): Promise<OutputFile[]> {
  const stack = how.stack ?? {};
  const { range, chart, truing, finished, base } = developed;
  const fit = fitTable(style, range);
  const marked = how.stamp === undefined ? {} : { stamp: how.stamp };
  const named = (piece: string) => (stack[piece] === undefined ? marked : { ...marked, stack: stack[piece] });
  const units = unit === 'in' ? 'ENGLISH' : 'METRIC';
  const { table, points } = ruleTableOf(range, fileName([how.stamp ?? '', style.name].join(' ')), units);
  const names = distinct(finished.map(({ size }) => fileName(size)));
  return [
    { name: 'size-chart.csv', content: chartCsv(chart, unit) },
    { name: 'growth.csv', content: growthCsv(growthRows(range, chart), unit) },
    ...(fit.length > 0 ? [{ name: 'fit.csv', content: fitCsv(fit, unit) }] : []),
    { name: 'truing.csv', content: truingCsv(truing, unit) },
    ...finished.map(({ size, pieces }, i) => ({
      name: `pieces-${names[i]}.svg`,
      content: piecesSvg(pieces, { title: `${style.name}, size ${size}`, ...marked }),
    })),
    ...base.pieces.map((piece) => ({
      name: `size-nest-${piece.name}.svg`,
      content: sizeNestSvg(range, piece.name, named(piece.name)),
    })),
    {
      name: 'size-nest.pdf',
      content: await sizeNestPdf(range, { title: style.name, units: unit, date, stack, ...marked }),
    },
    { name: 'grade-rules.rul', content: writeRuleTable(table, { date, ...deltaBaseOf(how) }) },
    { name: 'grade-rule-points.csv', content: rulePointsCsv(points) },
  ];
}

/**
 * The style graded by a rule table. Rules for derived pieces are left out, with a note: those pieces are drawn
 * again from the graded ones.
 */
async function gradedByTable(
  { style, developed }: LoadedStyle,
  options: GradeOptions,
  console: Console,
): Promise<LoadedStyle> {
  const file = options.rules!;
  if (options.rulePoints === undefined) {
    throw new InputError('--rules needs --rule-points: which point follows which rule', {
      mend: "grade with '--out' writes both files to look at",
    });
  }
  const { table, deltaBase, notes } = readRuleTable(await readText(file), {
    file,
    ...deltaBaseOf(options),
  });
  const points = readRulePoints(await readText(options.rulePoints), options.rulePoints);
  const { grade } = style;
  const drawnAgain = (name: string) =>
    pieceOf(developed.base, name).derived !== undefined && !grade.byRules.includes(name);
  const left = [...new Set(points.map((p) => p.piece))].filter(drawnAgain);
  if (!options.quiet) {
    for (const note of notes) console.err(`note: ${file}: ${note}`);
    console.err(
      `note: ${table.rules.length} rules of '${table.name}', deltas from the ${deltaBase === 'sample' ? 'sample size' : 'next smaller size'}`,
    );
    if (left.length > 0) console.err(`note: ${left.join(', ')}: drawn again in every size, rules left out`);
  }
  const kept = points.filter((p) => !left.includes(p.piece));
  try {
    const ruled = { ...style, grade: gradeByTable(grade, table, kept) };
    return { style: ruled, developed: developStyle(ruled) };
  } catch (error) {
    // The place of a fault is a point of the table's list, not a line of the style.
    throw error instanceof UserError ? error.at({ file: options.rulePoints }) : error;
  }
}

const deltaBaseOf = ({ deltaBase }: { readonly deltaBase?: DeltaBase }): { deltaBase?: DeltaBase } =>
  deltaBase === undefined ? {} : { deltaBase };

/** Sizes such as `M` and `M+` may come to one file name: later ones get their place in the range. */
const distinct = (names: readonly string[]): string[] =>
  names.map((name, i) => (names.indexOf(name) === i ? name : `${name}-${i + 1}`));

/** Stack points by piece: `sleeve.crown` for one piece, `neck-point` for every piece that has it. */
function stackPoints(base: Pattern, given: readonly string[]): Record<string, string> {
  const stack: Record<string, string> = {};
  for (const text of given) {
    const [first = '', point] = text.split('.');
    if (point !== undefined) {
      pointOf(pieceOf(base, first), point);
      stack[first] = point;
      continue;
    }
    const having = base.pieces.filter((piece) => pointsOf(piece).has(first));
    if (having.length === 0) {
      throw new InputError(`no piece has a point '${first}' to stack at`, {
        mend: 'write it as piece.point, such as sleeve.crown',
      });
    }
    for (const piece of having) stack[piece.name] ??= first;
  }
  return stack;
}
