import { join } from 'node:path';
import { Command } from 'commander';
import { InputError } from '../errors.js';
import {
  assertWritable,
  cutListCsv,
  cuttingReadme,
  type OutputFile,
  servicePack,
  stampTables,
  tiledPiecesPdf,
  writeAll,
  writeFileAtomic,
} from '../exchange/index.js';
import type { Marker } from '../lay/index.js';
import { percent } from '../report/format.js';
import { type ReportData, type ReportFile, reportJson } from '../report/index.js';
import { allPieces, type Style } from '../style/index.js';
import type { Unit } from '../units.js';
import {
  dayOption,
  seamErrorsOption,
  seamGate,
  unitFor,
  withCommonOptions,
  withSearchOptions,
} from './common.js';
import { checkMarker } from './flaws.js';
import { gradeFiles } from './grade.js';
import {
  clothLength,
  cutLineFile,
  cutLineNotes,
  hasCutLineFaults,
  interruptSignal,
  layLive,
  markerFiles,
  markerSpec,
  type SearchChoice,
} from './laying.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, systemConsole, table } from './output.js';
import { reportDataOf, reportFiles } from './report-files.js';

interface RunOptions extends CommonOptions, SearchChoice {
  readonly out: string;
  readonly pack?: string;
  readonly date?: Date;
  readonly allowSeamErrors?: boolean;
}

/** `walewise run`: the whole corridor into one folder. */
export function runCommand(console: Console = systemConsole): Command {
  const command = new Command('run')
    .description('alter, grade, true, lay every marker and write all files into one folder')
    .argument('<style>', 'style file')
    .option('--out <folder>', 'folder for the files', 'out')
    .option('--pack <file>', 'one zip for a cutting service too')
    .option('--date <day>', 'date in the files', dayOption);
  const shared = seamErrorsOption(withCommonOptions(withSearchOptions(command, ' each marker')));
  return shared.action(async (file: string, options: RunOptions) => {
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const date = options.date ?? new Date();
    const quiet = options.quiet === true || options.json === true;
    const { search } = loaded.style.lay;
    const jobs = loaded.style.markers.map((part) => ({
      spec: markerSpec(loaded, { ...part, fabric: loaded.style.fabrics.get(part.fabric)! }, stamp),
      search: { ...search, seconds: part.seconds ?? search.seconds },
    }));
    // What cannot be laid or written is told before anything is searched for.
    for (const [i, { spec }] of jobs.entries()) await checkMarker(spec, file, `markers.${i}.`);
    if (options.pack !== undefined && jobs.length === 0) {
      throw new InputError('the style has no markers to pack', { mend: 'leave --pack out' });
    }
    await assertWritable(options.out);
    const stop = interruptSignal();
    const markers: Marker[] = [];
    for (const { spec, search: defaults } of jobs) {
      if (!quiet) console.err(`laying ${spec.name} ...`);
      markers.push(await layLive(spec, defaults, options, { console, quiet, signal: stop.signal }));
    }
    stop.release();
    const { files, report } = await runFiles(loaded, markers, { unit, date, stamp });
    const written = await writeAll(options.out, files);
    if (options.pack !== undefined) {
      await writeFileAtomic(options.pack, await servicePack(markers, { units: unit, date }));
      written.push(options.pack);
    }
    for (const note of cutLineNotes(markers)) console.err(note);
    if (hasCutLineFaults(markers)) process.exitCode = EXIT.check;
    if (options.json) console.out(JSON.stringify({ files: written, report: reportJson(report) }, null, 2));
    else printRun(console, options.out, report, unit);
    if (stop.interrupted()) process.exitCode = EXIT.stopped;
  });
}

/** Every file of a run, and the report's data. */
async function runFiles(
  loaded: LoadedStyle,
  markers: readonly Marker[],
  { unit, date, stamp }: { unit: Unit; date: Date; stamp: string | undefined },
) {
  const { style, developed } = loaded;
  const { range, finished } = developed;
  const basePieces = finished.find((s) => s.size === range.base)!.pieces;
  const title = [stamp, `${style.name}, size ${range.base}`].filter((part) => part !== undefined).join(': ');
  const sheets = await Promise.all(
    (['A4', 'Letter'] as const).map(async (paper) => ({
      name: `sample-${range.base.replaceAll(/[^\w.-]+/g, '-')}-${paper}.pdf`,
      content: await tiledPiecesPdf(basePieces, {
        paper,
        title,
        units: unit,
        date,
        notes: shrinkageNotes(style),
      }),
    })),
  );
  const laid = await Promise.all(markers.map((marker) => markerFiles(marker, unit, date)));
  const files: OutputFile[] = [
    ...sheets,
    ...(await gradeFiles(loaded, unit, date, stamp === undefined ? {} : { stamp })),
    { name: 'cut-list.csv', content: cutListCsv(allPieces(finished)) },
    ...laid.flat(),
    ...(markers.length > 0
      ? [
          cutLineFile(markers),
          { name: 'READ-ME-cutting.txt', content: cuttingReadme(markers, { units: unit }) },
        ]
      : []),
  ];
  const beside = files.map(({ name }): ReportFile => ({ name, meaning: meaningOf(name) }));
  const { files: own, report } = await reportFiles(reportDataOf(loaded, markers, { unit, date }), { beside });
  return { files: stampTables([...files, ...own], stamp), report };
}

/** Whoever sews the sample must know that the paper is larger than the garment, and must not prewash the cloth. */
function shrinkageNotes(style: Style): string[] {
  const shrunk = [...style.fabrics.values()].filter(
    (f) => f.shrinkage.walewise !== 0 || f.shrinkage.coursewise !== 0,
  );
  if (shrunk.length === 0) return [];
  const each = shrunk.map(
    (f) => `${f.name} ${f.shrinkage.walewise} % along and ${f.shrinkage.coursewise} % across`,
  );
  return [
    `Shrinkage is in these pieces (${each.join(', ')}): cut unwashed cloth, and measure the garment after its first wash.`,
  ];
}

/** What a file of a run is for; the first pattern that fits decides. */
const MEANINGS: readonly (readonly [RegExp, string])[] = [
  [/^sample-.*\.pdf$/, 'base-size pieces at true scale on home paper, for the sample garment'],
  [/^size-chart/, 'points of measure in every size'],
  [/^truing/, 'every seam walked in every size'],
  [/^growth/, 'how every point of measure grows, with steps that jump'],
  [/^fit/, 'ease, stretch and the way over the head in every size'],
  [/^pieces-.*\.svg$/, 'pieces of one size with allowances'],
  [/^size-nest\.pdf$/, 'all sizes of every piece stacked, a page each'],
  [/^size-nest-/, 'all sizes of one piece stacked'],
  [/^grade-rules/, 'grade-rule table: moves of points from the base size'],
  [/^grade-rule-points/, 'which point follows which rule'],
  [/^cut-list/, 'pieces per garment and size'],
  [/-overview\.pdf$/, 'marker on one page'],
  [/^marker-.*\.pdf$/, 'marker at true scale'],
  [/^marker-.*\.dxf$/, 'marker for a cutting machine'],
  [/^marker-.*\.svg$/, 'marker as a drawing'],
  [/-placements\.csv$/, 'where each piece lies'],
  [/-piece-list\.csv$/, 'every placed piece with its whole label'],
  [/^cut-lines/, 'length of the cut lines, and what two pieces share'],
  [/^READ-ME/, 'what a cutting service must know of the files'],
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
