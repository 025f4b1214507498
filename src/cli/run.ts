import { join } from 'node:path';
import { Command } from 'commander';
import {
  consumptionCsv,
  cutListCsv,
  cuttingReadme,
  type OutputFile,
  tiledPiecesPdf,
  writeAll,
} from '../exchange/index.js';
import { consumption, type Marker } from '../lay/index.js';
import { type ReportData, type ReportFile, reportHtml, reportJson } from '../report/index.js';
import { allPieces, fitRows } from '../style/index.js';
import type { Unit } from '../units.js';
import {
  dayOption,
  positiveNumber,
  seamErrorsOption,
  seamGate,
  unitFor,
  warningsOf,
  wholeNumber,
  withCommonOptions,
} from './common.js';
import { gradeFiles } from './grade.js';
import { clothLength, interruptSignal, layJob, markerFiles, percent, type SearchChoice } from './laying.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, systemConsole, table } from './output.js';

interface RunOptions extends CommonOptions, SearchChoice {
  readonly out: string;
  readonly date?: Date;
  readonly allowSeamErrors?: boolean;
}

/** `walewise run`: the whole corridor into one folder. */
export function runCommand(console: Console = systemConsole): Command {
  const command = new Command('run')
    .description('alter, grade, true, lay every marker and write all files into one folder')
    .argument('<style>', 'style file')
    .option('--out <folder>', 'folder for the files', 'out')
    .option('--seconds <n>', 'time to search each marker', positiveNumber('--seconds'))
    .option(
      '--iterations <n>',
      'rounds to search each marker, for a result that repeats',
      wholeNumber('--iterations', 1),
    )
    .option('--seed <n>', 'seed of the search', wholeNumber('--seed', 0))
    .option('--threads <n>', 'worker threads', wholeNumber('--threads', 1))
    .option('--date <day>', 'date in the files', dayOption);
  return seamErrorsOption(withCommonOptions(command)).action(async (file: string, options: RunOptions) => {
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const date = options.date ?? new Date();
    const quiet = options.quiet === true || options.json === true;
    const stop = interruptSignal();
    const markers: Marker[] = [];
    for (const part of loaded.style.markers) {
      const job = { name: part.name, fabric: loaded.style.fabrics.get(part.fabric)!, ratio: part.ratio };
      if (!quiet) console.err(`laying ${part.name} ...`);
      markers.push(await layJob(loaded, job, options, { console, quiet, signal: stop.signal, stamp }));
    }
    stop.release();
    const { files, report } = await runFiles(loaded, markers, unit, date);
    const written = await writeAll(options.out, files);
    if (options.json) console.out(JSON.stringify({ files: written, report: reportJson(report) }, null, 2));
    else printRun(console, options.out, report, unit);
    if (stop.interrupted()) process.exitCode = EXIT.stopped;
  });
}

/** Every file of a run, and the report's data. */
async function runFiles(loaded: LoadedStyle, markers: readonly Marker[], unit: Unit, date: Date) {
  const { style, developed } = loaded;
  const { range, chart, truing, finished } = developed;
  const basePieces = finished.find((s) => s.size === range.base)!.pieces;
  const title = `${style.name}, size ${range.base}`;
  const used = markers.map(consumption);
  const fit = fitRows(style, range, unit);
  const sheets = await Promise.all(
    (['A4', 'Letter'] as const).map(async (paper) => ({
      name: `sample-${range.base}-${paper}.pdf`,
      content: await tiledPiecesPdf(basePieces, { paper, title, units: unit, date }),
    })),
  );
  const laid = await Promise.all(markers.map((marker) => markerFiles(marker, unit, date)));
  const files: OutputFile[] = [
    ...sheets,
    ...gradeFiles(loaded, unit),
    { name: 'cut-list.csv', content: cutListCsv(allPieces(finished)) },
    ...laid.flat(),
    { name: 'consumption.csv', content: consumptionCsv(used) },
    ...(markers.length > 0
      ? [{ name: 'READ-ME-cutting.txt', content: cuttingReadme(markers, { units: unit }) }]
      : []),
  ];
  const named = [...files.map((f) => f.name), 'report.json', 'report.html'];
  const report: ReportData = {
    style: style.name,
    unit,
    date,
    range,
    chart,
    truing,
    markers,
    consumption: used,
    pieces: basePieces,
    warnings: warningsOf(loaded, fit, unit),
    fit,
    files: named.map((name): ReportFile => ({ name, meaning: meaningOf(name) })),
  };
  files.push(
    { name: 'report.json', content: `${JSON.stringify(reportJson(report), null, 2)}\n` },
    { name: 'report.html', content: reportHtml(report) },
  );
  return { files, report };
}

/** What a file of a run is for; the first pattern that fits decides. */
const MEANINGS: readonly (readonly [RegExp, string])[] = [
  [/^sample-.*\.pdf$/, 'base-size pieces at true scale on home paper, for the sample garment'],
  [/^size-chart/, 'points of measure in every size'],
  [/^truing/, 'every seam walked in every size'],
  [/^pieces\.svg$/, 'base-size pieces with allowances'],
  [/^size-nest-/, 'all sizes of one piece stacked'],
  [/^cut-list/, 'pieces per garment and size'],
  [/-overview\.pdf$/, 'marker on one page'],
  [/^marker-.*\.pdf$/, 'marker at true scale'],
  [/^marker-.*\.dxf$/, 'marker for a cutting machine'],
  [/^marker-.*\.svg$/, 'marker as a drawing'],
  [/-placements\.csv$/, 'where each piece lies'],
  [/^consumption/, 'fabric used per marker, size and garment'],
  [/^READ-ME/, 'what a cutting service must know of the files'],
  [/^report\.html$/, 'fabric-usage report: open it in a browser'],
  [/^report\.json$/, 'the report for machines'],
];

const meaningOf = (name: string): string => MEANINGS.find(([pattern]) => pattern.test(name))?.[1] ?? '';

function printRun(console: Console, folder: string, report: ReportData, unit: Unit): void {
  const rows = report.markers.map((marker, i) => {
    const used = report.consumption[i]!;
    return [
      marker.name,
      `${(marker.width / 10).toFixed(0)} cm`,
      String(marker.pieces.length),
      String(used.garments),
      clothLength(marker.length, unit),
      percent(marker.efficiency),
      `${used.perGarment.length.toFixed(3)} m`,
      `${used.mass.toFixed(2)} kg`,
      used.cost === undefined ? '' : `${used.cost.toFixed(2)} ${used.currency}`,
      marker.verified ? 'verified' : 'NOT VERIFIED',
    ];
  });
  const head = [
    'marker',
    'width',
    'pieces',
    'garments',
    'length',
    'efficiency',
    'per garment',
    'mass',
    'cost',
    'overlap',
  ];
  if (rows.length > 0) console.out(`${table(head, rows)}\n`);
  const files = (report.files ?? []).map((f) => [join(folder, f.name), f.meaning]);
  console.out(table(['file', 'what it is'], files));
  for (const warning of report.warnings) console.out(`note: ${warning}`);
}
