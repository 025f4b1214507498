import { Command, Option } from 'commander';
import { CheckError, InputError, suggest } from '../errors.js';
import {
  assertWritable,
  type CuttingNoteOptions,
  chartCsv,
  checkCutLines,
  cuttingReadme,
  fileName,
  type OutputFile,
  packFiles,
  patternDxf,
  stampTables,
  tiledPiecesPdf,
  userUnitFor,
  userUnitWarning,
  writeAll,
  writeFileAtomic,
  zipFiles,
} from '../exchange/index.js';
import { NO_SHRINKAGE } from '../finish/options.js';
import { consumption, type Marker } from '../lay/index.js';
import { areChildSizes, cutSheets, type SheetLay } from '../report/index.js';
import type { Unit } from '../units.js';
import { dayOption, seamErrorsOption, seamGate, unitFor, withCommonOptions } from './common.js';
import { keptMarkers } from './kept.js';
import { clothLength, cutLineFile, cutLineNotes, markerFiles, PRINTS, type Print } from './laying.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, systemConsole, table } from './output.js';
import { type PliesChoice, planBeside, pliesFor, readPlies } from './report.js';
import { sheetLays } from './report-files.js';

/** What a service pack may hold beside the markers, each only when it is asked for. */
const PACK_EXTRAS = ['pattern', 'size-chart', 'plots'] as const;
type PackExtra = (typeof PACK_EXTRAS)[number];

interface ExportOptions extends CommonOptions {
  readonly out?: string;
  readonly pattern?: boolean;
  readonly sizes?: readonly string[];
  readonly perSize?: boolean;
  readonly allowances: boolean;
  readonly fold: 'half' | 'open';
  readonly marker?: string | true;
  readonly from: string;
  readonly plies?: PliesChoice;
  readonly dxf: 'current' | 'r12';
  readonly dxfUnits: 'mm' | 'in';
  readonly cutOnly?: boolean;
  readonly paper?: readonly Print[];
  readonly userUnit?: boolean;
  readonly pack?: string;
  readonly packWith?: readonly PackExtra[];
  readonly date?: Date;
  readonly allowSeamErrors?: boolean;
}

/** What every part of an export is made with. */
interface Making {
  readonly unit: Unit;
  readonly date: Date;
  readonly stamp: string | undefined;
  readonly dxf: NonNullable<CuttingNoteOptions['dxf']>;
  /** What is cut of the markers, where it is known. */
  readonly lays: readonly SheetLay[];
}

/** `walewise export`: files of a style, without any search. */
export function exportCommand(console: Console = systemConsole): Command {
  const command = new Command('export')
    .description('write files of the pattern and of markers laid before, without laying anew')
    .argument('<style>', 'style file')
    .option('--out <folder>', 'write the files there')
    .option('--pattern', 'the graded pattern as DXF after ASTM D6673: base size and grade-rule table')
    .option('--sizes <list>', "with --pattern: these sizes (S,M or 'all') in place of the rules", readList)
    .option('--per-size', 'with --pattern: a file for each size')
    .option('--no-allowances', 'with --pattern: sewing lines as boundaries, without seam allowances and hems')
    .addOption(
      new Option('--fold <how>', 'with --pattern: pieces on the fold as halves with a mirror line, or opened')
        .choices(['half', 'open'])
        .default('half'),
    )
    .option('--marker [name]', 'a marker that was laid before; all that were kept without a name')
    .option('--from <path>', "run's folder or report.json, or the output of lay --json in a file", 'out')
    .option('--plies <n>', 'plies to lay, for the cut sheets: 9, or self-165:9,rib-90:5', readPlies)
    .addOption(
      new Option('--dxf <flavour>', 'R12 for machines that read nothing newer')
        .choices(['current', 'r12'])
        .default('current'),
    )
    .addOption(new Option('--dxf-units <unit>', 'unit of the DXF').choices(['mm', 'in']).default('mm'))
    .option('--cut-only', 'marker DXF with the cut lines alone')
    .option('--paper <list>', `paper of the PDF: ${PRINTS.join(', ').toLowerCase()}, or several`, readPrints)
    .option('--user-unit', 'one page on the roll beyond 5.08 m, which some readers print too small')
    .option('--pack <file>', 'one zip for a cutting service')
    .addOption(new Option('--pack-with <what...>', 'put this into the zip too').choices([...PACK_EXTRAS]))
    .option('--date <day>', 'date in the files', dayOption);
  return seamErrorsOption(withCommonOptions(command)).action(async (file: string, options: ExportOptions) => {
    const wantsMarkers = options.marker !== undefined || options.pack !== undefined;
    assertAsked(options, wantsMarkers);
    const loaded = await loadStyle(file);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const names = typeof options.marker === 'string' ? [options.marker] : [];
    const markers = wantsMarkers ? await keptMarkers(loaded, options.from, { names, stamp }) : [];
    const making: Making = {
      unit: unitFor(options, loaded.style),
      date: options.date ?? new Date(),
      stamp,
      dxf: { flavour: options.dxf, units: options.dxfUnits, cutOnly: options.cutOnly ?? false },
      lays: wantsMarkers ? await laysFor(loaded, options, markers) : [],
    };
    assertCuttable(markers);
    const files = options.out === undefined ? [] : await outFiles(loaded, markers, options, making);
    const zip = options.pack === undefined ? undefined : await packOf(loaded, markers, options, making);
    const written: string[] = [];
    if (options.out !== undefined) {
      await assertWritable(options.out);
      written.push(...(await writeAll(options.out, files)));
    }
    if (zip) {
      await writeFileAtomic(options.pack!, zip);
      written.push(options.pack!);
    }
    say(console, markers, { written, options, making });
  });
}

/** @throws InputError when nothing, or what cannot be, was asked for. */
function assertAsked(options: ExportOptions, wantsMarkers: boolean): void {
  if (!options.pattern && !wantsMarkers) {
    throw new InputError('say what to export', { mend: '--pattern, --marker [name] or --pack FILE.zip' });
  }
  if (options.out === undefined && options.pack === undefined) {
    throw new InputError('say where the files go', { mend: '--out FOLDER or --pack FILE.zip' });
  }
  const patternAsked = options.sizes || options.perSize || !options.allowances || options.fold !== 'half';
  if (!options.pattern && patternAsked) {
    throw new InputError('--sizes, --per-size, --no-allowances and --fold say how --pattern is written', {
      mend: 'add --pattern',
    });
  }
  if (!wantsMarkers && options.paper?.includes('roll')) {
    throw new InputError('--paper roll is for markers', {
      mend: `take one of ${PRINTS.slice(1).join(', ')}`,
    });
  }
  if (options.packWith && options.pack === undefined) {
    throw new InputError('--pack-with says what goes into a pack', { mend: 'add --pack FILE.zip' });
  }
}

/** @throws CheckError when a cutter would stumble over a line: nothing is written then. */
function assertCuttable(markers: readonly Marker[]): void {
  for (const marker of markers) {
    const { faults } = checkCutLines(marker);
    if (faults.length === 0) continue;
    const more = faults.length > 1 ? ` (and ${faults.length - 1} more)` : '';
    throw new CheckError(
      `marker '${marker.name}' has cut lines that a cutter would stumble over: ${faults[0]}${more}`,
      {
        mend: 'look at the outline of that piece',
      },
    );
  }
}

async function outFiles(
  loaded: LoadedStyle,
  markers: readonly Marker[],
  options: ExportOptions,
  making: Making,
): Promise<OutputFile[]> {
  const { unit, date, dxf, stamp } = making;
  const prints = options.paper ?? (['roll'] as const);
  const laid = markers.map((marker) =>
    markerFiles(marker, unit, date, { dxf, prints, userUnit: options.userUnit ?? false }),
  );
  const sheets = prints.filter((print) => print !== 'roll');
  const files = [
    ...(options.pattern ? patternFiles(loaded, options, making) : []),
    ...(options.pattern && options.paper ? await paperPatterns(loaded, options, sheets, making) : []),
    ...(await Promise.all(laid)).flat(),
    ...(markers.length > 0
      ? [
          cutLineFile(markers),
          {
            name: 'READ-ME-cutting.txt',
            content: cuttingReadme(markers, noteOptions(making)),
          },
        ]
      : []),
  ];
  return stampTables(files, stamp);
}

/** The pattern as DXF: the stamp stands in its name and in the name of the files. */
function patternFiles(
  { style, developed }: LoadedStyle,
  options: ExportOptions,
  making: Making,
): OutputFile[] {
  const only = options.sizes?.includes('all') ? undefined : options.sizes;
  return patternDxf(developed.range, {
    style: stamped(style.name, making.stamp),
    sizes: options.perSize ? 'files' : options.sizes ? 'all' : 'rules',
    units: making.dxf.units === 'in' ? 'ENGLISH' : 'METRIC',
    boundary: options.allowances ? 'cut' : 'sew',
    fold: options.fold,
    finish: style.finish,
    shrinkageOf: (fabric) => style.fabrics.get(fabric)?.shrinkage ?? NO_SHRINKAGE,
    version: making.dxf.flavour === 'r12' ? 'r12' : 'r13',
    date: making.date,
    ...(only === undefined ? {} : { only }),
  });
}

/** Pieces of the sizes asked for, else of the base size, on sheets of paper. */
async function paperPatterns(
  { style, developed }: LoadedStyle,
  options: ExportOptions,
  papers: readonly Exclude<Print, 'roll'>[],
  { unit, date, stamp }: Making,
): Promise<OutputFile[]> {
  const { range, finished } = developed;
  const asked = options.sizes ?? [range.base];
  const sizes = finished.filter(({ size }) => asked.includes('all') || asked.includes(size));
  return Promise.all(
    sizes.flatMap(({ size, pieces }) =>
      papers.map(async (paper): Promise<OutputFile> => {
        const title = stamped(`${style.name}, size ${size}`, stamp);
        const content = await tiledPiecesPdf(pieces, { paper, title, units: unit, date });
        return { name: `pattern-${fileName(size)}-${paper}.pdf`, content };
      }),
    ),
  );
}

async function packOf(
  loaded: LoadedStyle,
  markers: readonly Marker[],
  options: ExportOptions,
  making: Making,
): Promise<Uint8Array> {
  const { unit, date, dxf, stamp } = making;
  const { style, developed } = loaded;
  const extras = options.packWith ?? [];
  const plies = pliesOf(making.lays);
  const sheets = plies
    ? await cutSheets({
        style: style.name,
        ...(style.label === undefined ? {} : { label: style.label }),
        unit,
        date,
        lays: making.lays,
        childSizes: areChildSizes(
          developed.range.sizes.map((s) => s.size),
          style.chart?.name,
        ),
      })
    : [];
  const plots = extras.includes('plots')
    ? await Promise.all(markers.map((marker) => markerFiles(marker, unit, date, { dxf })))
    : [];
  const also: OutputFile[] = [
    ...sheets,
    ...plots.flat().filter(({ name }) => name.endsWith('.pdf') && !name.endsWith('-overview.pdf')),
    ...(extras.includes('pattern') ? patternFiles(loaded, options, making) : []),
    ...(extras.includes('size-chart')
      ? stampTables([{ name: 'size-chart.csv', content: chartCsv(developed.chart, unit) }], stamp)
      : []),
  ];
  const files = await packFiles(markers, {
    units: unit,
    date,
    dxf,
    also,
    ...(plies === undefined ? {} : { plies }),
  });
  return zipFiles(files, date);
}

function noteOptions({ unit, dxf, lays }: Making): CuttingNoteOptions {
  const plies = pliesOf(lays);
  return { units: unit, dxf, ...(plies === undefined ? {} : { plies }) };
}

/** The lays of the plan kept beside the markers, or one of each marker with the plies that were asked for. */
async function laysFor(
  loaded: LoadedStyle,
  options: ExportOptions,
  markers: readonly Marker[],
): Promise<SheetLay[]> {
  const plies = pliesFor(options.plies, markers);
  // A plan is read with all its markers, also where one alone is written.
  const oneAlone = typeof options.marker === 'string';
  const kept =
    plies || !oneAlone ? markers : await keptMarkers(loaded, options.from, { names: [], stamp: undefined });
  const plan = plies ? undefined : await planBeside(options.from, kept);
  if (!plies && !plan) return [];
  return sheetLays({
    markers,
    consumption: markers.map(consumption),
    ...(plies ? { plies } : {}),
    ...(plan ? { plan } : {}),
  });
}

/** Plies of every marker over all its lays; undefined where no lay is known. */
function pliesOf(lays: readonly SheetLay[]): Record<string, number> | undefined {
  if (lays.length === 0) return undefined;
  const plies: Record<string, number> = {};
  for (const lay of lays) {
    const more = lay.plies.reduce((sum, colour) => sum + colour.plies, 0);
    plies[lay.marker.name] = (plies[lay.marker.name] ?? 0) + more;
  }
  return plies;
}

/** What was written, the cut lines, and what to mind. */
function say(
  console: Console,
  markers: readonly Marker[],
  { written, options, making }: { written: readonly string[]; options: ExportOptions; making: Making },
): void {
  const { unit, lays } = making;
  const notes = [
    ...cutLineNotes(markers),
    ...userUnitNotes(markers, options),
    ...(options.pack !== undefined && lays.length === 0 ? [NO_SHEETS] : []),
  ];
  if (options.json) {
    const lines = markers.map((marker) => {
      const { marker: name, length, ...rest } = checkCutLines(marker);
      return { name, length: marker.length, width: marker.width, cutLength: length, ...rest };
    });
    console.out(JSON.stringify({ files: written, markers: lines, notes }, null, 2));
  } else if (!options.quiet) {
    if (markers.length > 0) {
      const rows = markers.map((marker) => {
        const lines = checkCutLines(marker);
        const [cut, shared] = [clothLength(lines.length, unit), clothLength(lines.shared, unit)];
        return [marker.name, String(lines.pieces), clothLength(marker.length, unit), cut, shared];
      });
      console.out(`${table(['marker', 'pieces', 'length', 'cut length', 'shared by two'], rows)}\n`);
    }
    for (const path of written) console.out(path);
  }
  for (const note of notes) console.err(note);
}

const userUnitNotes = (markers: readonly Marker[], options: ExportOptions): string[] =>
  options.userUnit && (options.paper ?? ['roll']).includes('roll')
    ? markers.flatMap((marker) => {
        const userUnit = userUnitFor(marker);
        return userUnit > 1 ? [`WARNING: marker ${marker.name}: ${userUnitWarning(userUnit)}`] : [];
      })
    : [];

const NO_SHEETS =
  'note: no cut sheets are in the pack: they need the plies, such as --plies 9, or a plan kept with the markers';

const stamped = (name: string, stamp: string | undefined): string =>
  stamp === undefined ? name : `${stamp}: ${name}`;

const readList = (text: string): string[] =>
  text
    .split(',')
    .map((part) => part.trim())
    .filter((part) => part !== '');

/** @throws InputError for a paper that is not known. */
function readPrints(text: string): Print[] {
  return readList(text).map((name) => {
    const found = PRINTS.find((print) => print.toLowerCase() === name.toLowerCase());
    if (found) return found;
    throw new InputError(`unknown paper '${name}'`, {
      mend: suggest(
        name,
        PRINTS.map((print) => print.toLowerCase()),
      ),
    });
  });
}
