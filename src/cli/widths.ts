import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { didYouMean, InputError, UserError } from '../errors.js';
import { assertWritable, writeAll } from '../exchange/index.js';
import {
  atUsableWidth,
  compareWidths,
  type Fabric,
  inMode,
  LAY_MODES,
  type LayMode,
  type MarkerSpec,
  planMarker,
  type WidthCell,
  type WidthRun,
} from '../lay/index.js';
import { parseLength } from '../units.js';
import {
  seamErrorsOption,
  seamGate,
  secondsOption,
  unitFor,
  wholeNumber,
  withCommonOptions,
} from './common.js';
import { chooseJobs, readRatio } from './lay.js';
import { interruptSignal, type LayJob, markerSpec } from './laying.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, liveLine, systemConsole, table } from './output.js';
import { comparisonOf, summaryLines, widthRows, widthsCsv, widthsHtml, widthsSvg } from './widths-page.js';
import { runTasks, type WidthBudget, type WidthTask } from './widths-runs.js';

interface WidthsOptions extends CommonOptions {
  readonly widths?: readonly number[];
  readonly from?: number;
  readonly to?: number;
  readonly by?: number;
  readonly modes?: readonly LayMode[];
  readonly marker?: string;
  readonly fabric?: string;
  readonly ratio?: Readonly<Record<string, number>>;
  readonly seconds?: number;
  readonly iterations?: number;
  readonly seeds: number;
  readonly threads?: number;
  readonly out: string;
  readonly allowSeamErrors?: boolean;
}

/**
 * Rounds, not seconds, so that every width gets the same work whatever else the machine does. Eight widths in two
 * modes with three seeds are 48 searches; of the demo's order of sixteen garments each takes about seven seconds of
 * one core, all together three minutes on two.
 */
export const WIDTHS_DEFAULTS = { iterations: 30, seeds: 3, out: 'out/widths' } as const;

const MOST_WIDTHS = 60;

const HELP = `
Plain numbers are centimetres; write 58 in or 1500 mm for others.
Every width and mode gets the same searches: the same seeds, the same budget, one thread each, as many at a time as
there are threads. The spread over the seeds tells which differences may be noise. Finished searches are kept in the
folder's runs/, so that Ctrl-C keeps what is done and the same command goes on from there.`;

/** `walewise widths`: the same order over fabric widths and lay modes. */
export function widthsCommand(console: Console = systemConsole): Command {
  const command = new Command('widths')
    .description('lay the same order at several fabric widths and lay modes and compare what it takes')
    .argument('<style>', 'style file')
    .option('--widths <list>', 'usable widths, such as 150,165,185', widthList)
    .option('--from <width>', 'least of a range of widths', oneWidth('--from'))
    .option('--to <width>', 'greatest of the range', oneWidth('--to'))
    .option('--by <step>', 'step of the range', oneWidth('--by'))
    .option('--modes <list>', `lay modes (default: the fabric's own), of ${LAY_MODES.join(', ')}`, modeList)
    .option('--marker <name>', 'marker of the style file (default: all of the fabric)')
    .option('--fabric <name>', "fabric (default: the first marker's)")
    .option('--ratio <sizes>', 'garments per size, such as S:1,M:2,L:1', readRatio)
    .option('--seconds <n>', 'time of each search instead of rounds', secondsOption)
    .option(
      '--iterations <n>',
      `rounds of each search, for a result that repeats (default: ${WIDTHS_DEFAULTS.iterations})`,
      wholeNumber('--iterations', 1),
    )
    .option(
      '--seeds <n>',
      'searches of each width and mode',
      wholeNumber('--seeds', 1),
      WIDTHS_DEFAULTS.seeds,
    )
    .option('--threads <n>', 'searches at a time (default: one for each core)', wholeNumber('--threads', 1))
    .option('--out <folder>', 'folder for results and finished searches', WIDTHS_DEFAULTS.out);
  const shared = seamErrorsOption(withCommonOptions(command)).addHelpText('after', HELP);
  return shared.action(async (file: string, options: WidthsOptions) => {
    const widths = widthsOf(options);
    if (options.seconds !== undefined && options.iterations !== undefined) {
      throw new InputError('both --seconds and --iterations are given', { mend: 'give one budget' });
    }
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const jobs = chooseJobs(loaded, options);
    const fabric = jobs[0]!.fabric;
    const modes = options.modes ?? [fabric.mode];
    const planned = widths.flatMap((width) =>
      modes.map((mode) => plannedCell(loaded, jobs, fabric, width, mode, stamp)),
    );
    await assertWritable(options.out);

    // Seed by seed, so that every width has its first result early.
    const seeds = Array.from({ length: options.seeds }, (_, i) => loaded.style.lay.search.seed + i);
    const tasks = seeds.flatMap((seed) =>
      planned.flatMap(({ specs }, cell) => specs.map((spec): WidthTask => ({ cell, seed, spec }))),
    );
    const budget: WidthBudget =
      options.seconds === undefined
        ? { iterations: options.iterations ?? WIDTHS_DEFAULTS.iterations }
        : { seconds: options.seconds };
    const threads = options.threads ?? availableParallelism();
    const quiet = options.quiet === true || options.json === true;
    const stop = interruptSignal();
    const began = performance.now();
    const live = progressLine(console, quiet, tasks, budget, threads);
    let results: Awaited<ReturnType<typeof runTasks>>;
    try {
      results = await runTasks(
        tasks,
        budget,
        { folder: join(options.out, 'runs'), threads, signal: stop.signal },
        live,
      );
    } finally {
      live.clear();
      stop.release();
    }
    const cells = planned.map((cell, index): WidthCell => {
      const { width, mode, fault } = cell;
      const runs = seeds.flatMap((seed) => seedRun(seed, index, tasks, results) ?? []);
      return { width, mode, runs, ...(fault === undefined ? {} : { fault }) };
    });
    const comparison = comparisonOf(cells, {
      style: loaded.style.name,
      fabric,
      markers: jobs.map(({ name, ratio }) => ({ name, ratio })),
      budget,
      seeds,
      threads,
      seconds: (performance.now() - began) / 1000,
      resumed: live.resumed(),
      wanted: tasks.length,
      done: results.filter((r) => r !== undefined).length,
      unit,
      ...orderFacts(loaded, jobs),
      ...(stamp === undefined ? {} : { stamp }),
    });
    const json = `${JSON.stringify({ ...comparison, verdict: compareWidths(cells) }, null, 2)}\n`;
    const written = await writeAll(options.out, [
      { name: 'widths.html', content: widthsHtml(comparison) },
      { name: 'widths.svg', content: widthsSvg(comparison) },
      { name: 'widths.csv', content: widthsCsv(comparison) },
      { name: 'widths.json', content: json },
    ]);
    if (options.json) console.out(json.trimEnd());
    else {
      const { head, rows } = widthRows(comparison);
      console.out(table(head, rows));
      for (const line of summaryLines(comparison)) console.out(line);
      if (!quiet) console.err(`wrote ${written.join('\n      ')}`);
    }
    if (stop.interrupted()) process.exitCode = EXIT.stopped;
    else if (cells.every((cell) => cell.fault !== undefined)) process.exitCode = EXIT.usage;
  });
}

/** How often the markers make the style's order, where its sizes are in their ratio. */
function orderFacts({ style }: LoadedStyle, jobs: readonly LayJob[]): { times?: number } {
  if (!style.order) return {};
  const { sizes, cells } = style.order;
  const ordered = (size: string) =>
    cells.reduce((sum, cell) => (cell.size === size ? sum + cell.ordered : sum), 0);
  const laid = (size: string) => jobs.reduce((sum, { ratio }) => sum + (ratio[size] ?? 0), 0);
  const first = sizes.find((size) => laid(size) > 0);
  if (first === undefined) return {};
  const times = ordered(first) / laid(first);
  return times > 0 && sizes.every((size) => ordered(size) === times * laid(size)) ? { times } : {};
}

interface PlannedCell {
  readonly width: number;
  readonly mode: LayMode;
  readonly specs: readonly MarkerSpec[];
  readonly fault?: string;
}

/** The markers of one width and mode, or why they cannot be laid. */
function plannedCell(
  loaded: LoadedStyle,
  jobs: readonly LayJob[],
  fabric: Fabric,
  width: number,
  mode: LayMode,
  stamp: string | undefined,
): PlannedCell {
  try {
    const cloth = inMode(atUsableWidth(fabric, width), mode);
    // Flaws are those of one piece of cloth, not of another width.
    const plain = { fabric: cloth, flaws: undefined, splices: undefined };
    const specs = jobs.map((job) => markerSpec(loaded, { ...job, ...plain }, stamp));
    for (const spec of specs) planMarker(spec);
    return { width, mode, specs };
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    const fault = error.mend === undefined ? error.message : `${error.message}; ${error.mend}`;
    return { width, mode, specs: [], fault };
  }
}

/** All markers of a cell with one seed together; undefined while one of them is missing. */
function seedRun(
  seed: number,
  cell: number,
  tasks: readonly WidthTask[],
  results: readonly (Omit<WidthRun, 'seed'> | undefined)[],
): WidthRun | undefined {
  const own = tasks.flatMap((task, i) => (task.cell === cell && task.seed === seed ? [results[i]] : []));
  if (own.length === 0 || own.some((r) => r === undefined)) return undefined;
  const parts = own as Omit<WidthRun, 'seed'>[];
  const sum = (of: (r: Omit<WidthRun, 'seed'>) => number) => parts.reduce((total, r) => total + of(r), 0);
  const priced = parts.every((r) => r.cost !== undefined);
  return {
    seed,
    length: sum((r) => r.length),
    area: sum((r) => r.area),
    mass: sum((r) => r.mass),
    ...(priced ? { cost: sum((r) => r.cost!) } : {}),
    garments: sum((r) => r.garments),
    efficiency: sum((r) => r.efficiency * r.area) / sum((r) => r.area),
    rounds: Math.min(...parts.map((r) => r.rounds)),
  };
}

/** One line: how far all is, and what is being laid. */
function progressLine(
  console: Console,
  quiet: boolean,
  tasks: readonly WidthTask[],
  budget: WidthBudget,
  threads: number,
) {
  const line = liveLine(console, quiet);
  const running = new Map<WidthTask, string>();
  const began = performance.now();
  let done = 0;
  let resumed = 0;
  const show = () => {
    const elapsed = (performance.now() - began) / 1000;
    const searched = done - resumed;
    const each =
      searched > 0 ? (elapsed * threads) / searched : 'seconds' in budget ? budget.seconds : undefined;
    const left = each === undefined ? '' : `, about ${clock((each * (tasks.length - done)) / threads)} left`;
    line.show(
      `${done} of ${tasks.length} searches${left}: ${[...running.values()].join('; ')} (Ctrl-C keeps what is done)`,
    );
  };
  return {
    onProgress: (task: WidthTask, progress: { length: number; density: number }) => {
      const { fabric, name } = task.spec;
      const width = `${Number((fabric.usableWidth / 10).toFixed(1))} cm`;
      running.set(
        task,
        `${name} ${width} ${fabric.mode} seed ${task.seed} ${(progress.length / 1000).toFixed(3)} m ${(100 * progress.density).toFixed(1)} %`,
      );
      show();
    },
    onDone: (task: WidthTask, kept: { resumed: boolean }) => {
      running.delete(task);
      done++;
      if (kept.resumed) resumed++;
      show();
    },
    clear: () => line.clear(),
    resumed: () => resumed,
  };
}

const clock = (seconds: number): string =>
  seconds < 90 ? `${Math.ceil(seconds)} s` : `${Math.ceil(seconds / 60)} min`;

/** @throws InputError when neither a list nor a range is given, or both, or the range is none. */
function widthsOf({ widths, from, to, by }: WidthsOptions): number[] {
  const range = [from, to, by].some((v) => v !== undefined);
  if (widths && range) {
    throw new InputError('--widths and --from, --to, --by both say which widths', {
      mend: 'give one of them',
    });
  }
  if (widths) return [...widths];
  if (from === undefined || to === undefined) {
    throw new InputError('which widths are to be compared?', {
      mend: 'give --widths 150,165,185 or --from 140 --to 190 --by 10',
    });
  }
  const step = by ?? 100;
  if (to < from) throw new InputError('--to is less than --from', { mend: 'give the narrower width first' });
  const count = Math.floor((to - from) / step + 1e-9) + 1;
  if (count > MOST_WIDTHS) {
    throw new InputError(`${count} widths are more than the ${MOST_WIDTHS} that are compared at once`, {
      mend: 'give a larger --by',
    });
  }
  return Array.from({ length: count }, (_, i) => Number((from + i * step).toFixed(6)));
}

function oneWidth(name: string): (text: string) => number {
  return (text) => {
    const mm = parseLength(text, 'cm');
    if (mm > 0) return mm;
    throw new InputError(`${name} must be more than 0, not '${text}'`);
  };
}

function widthList(text: string): number[] {
  const widths = text.split(',').map(oneWidth('a width'));
  const unique = [...new Set(widths)].sort((a, b) => a - b);
  if (unique.length < widths.length) throw new InputError(`a width is given twice in '${text}'`);
  return unique;
}

function modeList(text: string): LayMode[] {
  const modes = text.split(',').map((part): LayMode => {
    const mode = LAY_MODES.find((m) => m === part.trim());
    if (mode) return mode;
    const near = didYouMean(part.trim(), LAY_MODES);
    throw new InputError(`unknown lay mode '${part.trim()}'`, {
      mend: near ? `did you mean '${near}'?` : `known: ${LAY_MODES.join(', ')}`,
    });
  });
  return [...new Set(modes)];
}
