import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Command } from 'commander';
import { InputError } from '../errors.js';
import { assertWritable, type OutputFile, writeAll } from '../exchange/index.js';
import {
  type CutPlan,
  cutFromStock,
  type EfficiencyModel,
  efficiencyModel,
  fabricTasks,
  type Nest,
  onlyColours,
  type PlanProgress,
  type PlanSpec,
  planJson,
  planOrder,
  quickEstimate,
  readNestRecords,
  type Stock,
  solverThread,
} from '../plan/index.js';
import { money, percent } from '../report/format.js';
import { purchases, type ReportData } from '../report/index.js';
import { allPieces, type Style } from '../style/index.js';
import { parseLength } from '../units.js';
import {
  dayOption,
  seamErrorsOption,
  seamGate,
  unitFor,
  wholeNumber,
  withCommonOptions,
  withSearchOptions,
} from './common.js';
import { interruptSignal, layLive, markerFiles, markerSpec, type SearchChoice } from './laying.js';
import { type LoadedStyle, loadStyle, packageRoot } from './load.js';
import { markerStore } from './marker-store.js';
import { type CommonOptions, type Console, EXIT, liveLine, systemConsole } from './output.js';
import { buyText, estimateText, laysCsv, onHandText, planText } from './plan-tables.js';
import { reportDataOf, reportFiles } from './report-files.js';

interface PlanOptions extends CommonOptions, SearchChoice {
  readonly colours?: readonly string[];
  readonly onHand?: readonly string[];
  readonly estimate?: boolean;
  readonly nest: boolean;
  readonly nestBaselines?: boolean;
  readonly rounds?: number;
  readonly keep?: string;
  readonly out?: string;
  readonly date?: Date;
  readonly allowSeamErrors?: boolean;
}

/** A plan lays a dozen markers or more: each gets less time than a marker that is laid alone. */
const SECONDS_PER_MARKER = 15;

const PATIENCE =
  'Markers are laid to measure them, a dozen or more: this takes minutes. Ctrl-C keeps the best so far; --no-nest reckons their lengths instead.\n';

/** `walewise plan`: from the order to markers, plies and lays. */
export function planCommand(console: Console = systemConsole): Command {
  const command = new Command('plan')
    .description('plan the order: markers, plies and lays at least cost; or what cloth on hand gives')
    .argument('<style>', "style file with an 'order:'")
    .option('--colours <names>', 'plan these colours of the order only, such as navy,oat', names)
    .option('--on-hand <rolls>', 'what these rolls give, such as navy=40m,rib:navy=12m,navy=8m@150cm', names)
    .option('--estimate', 'tell the cloth at once, from areas and markers laid before; lays nothing')
    .option('--no-nest', 'plan with modelled lengths; lays nothing')
    .option('--nest-baselines', 'lay the markers of the plainer ways too')
    .option('--rounds <n>', 'plan and lay in turn at most so often', wholeNumber('--rounds', 1))
    .option('--keep <folder>', 'keep laid markers there and use those that are there')
    .option('--out <folder>', 'write the plan and the files of its markers there')
    .option('--date <day>', 'date in the files', dayOption);
  const shared = seamErrorsOption(withCommonOptions(withSearchOptions(command, ' each marker')));
  return shared.action(async (file: string, options: PlanOptions) => {
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const spec = planSpec(loaded.style, loaded, await nestsBefore(), options);
    const stocks = options.onHand?.map((text) => readStock(text, loaded.style));
    const estimates = fabricTasks(spec).map((task) =>
      quickEstimate(task, spec.order, spec.model, spec.pieces),
    );
    if (options.estimate) {
      console.out(
        options.json ? JSON.stringify({ estimates }, null, 2) : estimateText(spec.order, estimates, unit),
      );
      return;
    }
    if (options.out !== undefined) await assertWritable(options.out);
    if (options.keep !== undefined) await assertWritable(options.keep);
    const quiet = options.quiet === true || options.json === true;
    if (!quiet) console.err(`${estimateText(spec.order, estimates, unit)}\n`);
    const stop = interruptSignal();
    const solver = solverThread(stop.signal);
    const live = liveLine(console, quiet);
    const nest = nestWith(loaded, options, stamp, { console, quiet });
    if (options.nest && !quiet) console.err(PATIENCE);
    const effects = {
      solve: solver.solve,
      ...(options.nest ? { nest } : {}),
      ...(options.rounds === undefined ? {} : { rounds: options.rounds }),
      signal: stop.signal,
      onProgress: (progress: PlanProgress) => {
        const line = progressLine(progress, loaded.style);
        if (progress.phase === 'solving') live.show(line);
        else {
          live.clear();
          if (!quiet) console.err(line);
        }
      },
    };
    try {
      if (stocks) {
        const found = await cutFromStock(spec, stocks, effects);
        console.out(options.json ? JSON.stringify(found, null, 2) : onHandText(spec.order, found, unit));
      } else {
        const plan = await planOrder(spec, effects);
        const data = reportDataOf(loaded, laidIn(plan), {
          unit,
          date: options.date ?? new Date(),
          plan,
          estimates,
        });
        const text = `${planText(plan, unit)}\n\n${buyText(purchases(data), unit)}`;
        if (options.out !== undefined) {
          const files = await planFiles(loaded, plan, data, text);
          const written = await writeAll(options.out, files);
          if (!quiet) console.err(`wrote ${written.join('\n      ')}`);
        }
        console.out(options.json ? JSON.stringify(planJson(plan), null, 2) : text);
      }
    } finally {
      live.clear();
      await solver.close();
      stop.release();
    }
    if (stop.interrupted()) process.exitCode = EXIT.stopped;
  });
}

function planSpec(
  style: Style,
  { developed }: LoadedStyle,
  model: EfficiencyModel,
  options: PlanOptions,
): PlanSpec {
  const { order } = style;
  if (!order) {
    throw new InputError('the style has no order to plan', {
      mend: "add 'order: { colours: { navy: { S: 4, M: 8 } } }' to it",
      place: { file: style.file },
    });
  }
  return {
    style: style.name,
    order: options.colours ? onlyColours(order, options.colours) : order,
    pieces: allPieces(developed.finished),
    fabrics: [...style.fabrics.values()],
    options: style.lay.options,
    table: style.table,
    rates: style.rates,
    model,
    nestBaselines: options.nestBaselines ?? false,
  };
}

/** The efficiency model as it stands before this order: learned from the markers that come with the program. */
async function nestsBefore(): Promise<EfficiencyModel> {
  const text = await readFile(join(packageRoot(), 'presets', 'nests.json'), 'utf8');
  return efficiencyModel(readNestRecords(JSON.parse(text)));
}

/** Lays markers for the plan, each only once; what was cut short by Ctrl-C is not kept. */
function nestWith(
  loaded: LoadedStyle,
  options: PlanOptions,
  stamp: string | undefined,
  io: { console: Console; quiet: boolean },
): Nest {
  const { search } = loaded.style.lay;
  const kept = markerStore(options.keep);
  const defaults = { ...search, seconds: Math.min(search.seconds, SECONDS_PER_MARKER) };
  const { seconds = defaults.seconds, iterations, seed = search.seed } = options;
  const budget = iterations === undefined ? { seconds, seed } : { iterations, seed };
  return async ({ name, fabric, ratio }, signal = new AbortController().signal) => {
    const spec = markerSpec(loaded, { name, fabric, ratio }, stamp);
    const known = await kept.find(spec, budget);
    if (known) return known;
    const marker = await layLive(spec, defaults, options, { ...io, signal });
    if (!signal.aborted) await kept.keep(spec, budget, marker);
    return marker;
  };
}

function progressLine(p: PlanProgress, style: Style): string {
  const head = `${p.fabric}, round ${p.round}`;
  if (p.phase === 'solving') return `${head}: choosing markers ... (Ctrl-C keeps the best plan so far)`;
  if (p.phase === 'nested') {
    return `${head}: laid ${p.marker}, ${percent(p.ratio!)} of the length that was reckoned`;
  }
  const currency = [...style.fabrics.values()][0]!.currency;
  const laid = p.source === 'nested' ? 'all laid' : 'some not laid yet';
  return `${head}: ${p.markers} markers (${laid}), ${p.lays} lays, ${money(p.cost!, currency)}`;
}

const laidIn = (plan: CutPlan) =>
  plan.fabrics.flatMap((fabric) => fabric.markers.flatMap(({ marker }) => marker ?? []));

async function planFiles(
  loaded: LoadedStyle,
  plan: CutPlan,
  data: ReportData,
  text: string,
): Promise<OutputFile[]> {
  const files = laidIn(plan).map((marker) => markerFiles(marker, data.unit, data.date));
  const { label } = loaded.style;
  const report = await reportFiles(data, label === undefined ? {} : { label });
  return [
    { name: 'plan.json', content: `${JSON.stringify(planJson(plan), null, 2)}\n` },
    { name: 'plan.txt', content: `${text}\n` },
    { name: 'lays.csv', content: laysCsv(plan) },
    ...(await Promise.all(files)).flat(),
    ...report.files,
  ];
}

const names = (text: string): string[] =>
  text
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '');

/** Longest roll that is taken for one, mm. */
const LONGEST_ROLL = 5_000_000;

/** `[FABRIC:]COLOUR=LENGTH[@WIDTH]`, lengths in m unless they say otherwise. @throws InputError */
function readStock(text: string, style: Style): Stock {
  const match = /^(?:([^:=@]+):)?([^:=@]+)=([^=@]+)(?:@([^=@]+))?$/.exec(text);
  if (!match) {
    throw new InputError(`'${text}' is not a roll on hand`, {
      mend: 'write it as COLOUR=40m, FABRIC:COLOUR=40m or COLOUR=40m@150cm',
    });
  }
  const [, fabric, colour, length, width] = match.map((part) => part?.trim());
  // A plain number is metres here: rolls are told in metres or yards.
  const mm = /^[\d.]+$/.test(length!) ? Number(length) * 1000 : parseLength(length!, style.unit);
  if (!(mm > 0 && mm <= LONGEST_ROLL)) {
    throw new InputError(`'${text}': a roll has more than 0 and at most ${LONGEST_ROLL / 1000} m`);
  }
  // Cloth is told in centimetres even where a pattern is in inches: a plain number is one or the other.
  if (width !== undefined && /^[\d.]+$/.test(width)) {
    throw new InputError(`'${text}': the width has no unit`, { mend: `write ${width}cm or ${width}in` });
  }
  const across = width === undefined ? undefined : parseLength(width, style.unit);
  if (across !== undefined && across <= 0) throw new InputError(`'${text}': a width must be more than 0`);
  return {
    fabric: fabric ?? [...style.fabrics.keys()][0] ?? 'self',
    colour: colour!,
    metres: mm / 1000,
    ...(across === undefined ? {} : { width: across }),
  };
}
