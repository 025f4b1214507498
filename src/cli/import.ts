import { readFile, stat } from 'node:fs/promises';
import { Command, Option } from 'commander';
import { TRACE_DEFAULTS } from '../draft/trace.js';
import { InputError, suggest, UserError } from '../errors.js';
import { writeFileAtomic } from '../exchange/files.js';
import { IMPORT_UNITS, type ImportUnit } from '../exchange/import/drawing.js';
import { FIND_DEFAULTS } from '../exchange/import/find-pieces.js';
import { type Imported, type ImportOptions, importDrawing } from '../exchange/import/import-drawing.js';
import { FOLD_SIDES, type FoldSide } from '../exchange/import/orient.js';
import { readStyle } from '../style/index.js';
import { formatLength, parseLength } from '../units.js';
import { loadPresets, readText } from './load.js';
import { type Console, systemConsole, table } from './output.js';

interface ImportFlags {
  readonly units?: ImportUnit;
  readonly rules?: string;
  readonly out?: string;
  readonly force?: boolean;
  readonly fold?: readonly string[];
  readonly grain?: number;
  readonly join?: number;
  readonly tolerance?: number;
  readonly cornerAngle?: number;
  readonly cornerScale?: number;
  readonly size?: string;
  readonly style?: string;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

/** `walewise import`: a DXF or SVG drawing as a style that carries its pieces. */
export function importCommand(console: Console = systemConsole): Command {
  return new Command('import')
    .description('read pieces from a DXF or SVG into a style file')
    .argument('<drawing>', 'drawing: .svg, .dxf, or a pattern .dxf after ASTM D6673')
    .option('--out <file>', 'style file to write (default: the name of the drawing, as .yaml)')
    .option('--force', 'write over a file that is there')
    .option('--rules <file>', 'grade-rule table that goes with a pattern DXF')
    .addOption(
      new Option('--units <unit>', 'units of the drawing, where it does not say').choices([...IMPORT_UNITS]),
    )
    .option(
      '--fold <side>',
      `side of front and back that lies on the fold: ${FOLD_SIDES.join(', ')}; of another piece=side; may be repeated`,
      collect,
      [],
    )
    .option(
      '--grain <direction>',
      'direction of the grain in the drawing: up, across, or degrees from across',
      grainOption,
    )
    .option(
      '--join <length>',
      `ends of lines within this meet (default: ${FIND_DEFAULTS.join} mm)`,
      lengthOption('--join'),
    )
    .option(
      '--tolerance <length>',
      `how far an edge may lie off the points it is traced from (default: ${TRACE_DEFAULTS.tolerance} mm)`,
      lengthOption('--tolerance'),
    )
    .option(
      '--corner-angle <degrees>',
      `turn from which a place is a corner (default: ${TRACE_DEFAULTS.cornerAngle})`,
      angleOption,
    )
    .option(
      '--corner-scale <length>',
      `length of outline over which a turn is judged (default: ${TRACE_DEFAULTS.scale} mm)`,
      lengthOption('--corner-scale'),
    )
    .option('--size <name>', 'size the drawing is in')
    .option('--style <name>', 'name of the style')
    .option('--json', 'print one JSON value for machines')
    .option('--quiet', 'print only what was asked for')
    .action(async (file: string, flags: ImportFlags) => {
      const out = flags.out ?? `${file.replace(/\.[^./\\]*$/, '')}.yaml`;
      await assertFree(out, flags.force === true);
      const imported = importDrawing(await readBytes(file), file, await optionsOf(flags));
      await assertReads(imported, out);
      await writeFileAtomic(out, imported.text);
      if (flags.json) {
        const { text: _, pattern, ...told } = imported;
        console.out(JSON.stringify({ out, style: pattern.name, ...told }, null, 2));
        return;
      }
      if (!flags.quiet) console.out(report(imported));
      console.out(out);
    });
}

async function optionsOf(flags: ImportFlags): Promise<ImportOptions> {
  const { fold, foldOf } = foldsOf(flags.fold ?? []);
  return {
    ...(flags.units === undefined ? {} : { units: flags.units }),
    ...(flags.rules === undefined ? {} : { rules: { text: await readText(flags.rules), file: flags.rules } }),
    ...(fold === undefined ? {} : { fold }),
    foldOf,
    ...(flags.grain === undefined ? {} : { grain: flags.grain }),
    ...(flags.join === undefined ? {} : { join: flags.join }),
    ...(flags.tolerance === undefined ? {} : { tolerance: flags.tolerance }),
    ...(flags.cornerAngle === undefined ? {} : { cornerAngle: flags.cornerAngle }),
    ...(flags.cornerScale === undefined ? {} : { cornerScale: flags.cornerScale }),
    ...(flags.size === undefined ? {} : { size: flags.size }),
    ...(flags.style === undefined ? {} : { style: flags.style }),
  };
}

function foldsOf(texts: readonly string[]): { fold?: FoldSide; foldOf: Record<string, FoldSide> } {
  const foldOf: Record<string, FoldSide> = {};
  let fold: FoldSide | undefined;
  for (const text of texts) {
    const [piece, side] = text.includes('=') ? text.split('=', 2) : [undefined, text];
    const known = FOLD_SIDES.find((s) => s === side);
    if (!known) {
      throw new InputError(`'${side}' is no side of a fold`, { mend: suggest(side ?? '', FOLD_SIDES) });
    }
    if (piece === undefined) fold = known;
    else foldOf[piece] = known;
  }
  return fold === undefined ? { foldOf } : { fold, foldOf };
}

const collect = (text: string, before: readonly string[]): string[] => [...before, text];

function grainOption(text: string): number {
  if (text === 'up') return 90;
  if (text === 'across') return 0;
  return numberIn('--grain', text, -360, 360, 'write up, across or degrees, such as 90');
}

const angleOption = (text: string): number =>
  numberIn('--corner-angle', text, 5, 120, 'write degrees from 5 to 120');

function numberIn(name: string, text: string, least: number, most: number, mend: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (value >= least && value <= most) return value;
  throw new InputError(`${name} cannot be '${text}'`, { mend });
}

/** A length above 0 on the command line: millimetres where it names no unit. */
const lengthOption =
  (name: string) =>
  (text: string): number => {
    const mm = parseLength(text, 'mm');
    if (mm > 0 && mm <= 100) return mm;
    throw new InputError(`${name} must be above 0 and at most 100 mm, not '${text}'`);
  };

async function assertFree(out: string, force: boolean): Promise<void> {
  const there = await stat(out).catch(() => undefined);
  if (!there || (force && there.isFile())) return;
  if (!there.isFile()) throw new InputError(`'${out}' is no file`, { mend: 'name a file with --out' });
  throw new InputError(`'${out}' is there already`, {
    mend: 'name another with --out, or write over it with --force',
  });
}

/** What is written must be a style that can be read: a fault here is the importer's, not the drawing's. */
async function assertReads(imported: Imported, out: string): Promise<void> {
  try {
    readStyle(imported.text, out, await loadPresets());
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    throw error.prefixed('the drawing does not make a style: ');
  }
}

async function readBytes(file: string): Promise<Uint8Array> {
  try {
    return await readFile(file);
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code;
    const why = code === 'ENOENT' ? 'no such file' : code === 'EISDIR' ? 'this is a folder' : String(code);
    throw new InputError(`cannot read '${file}': ${why}`, { mend: 'check the path', cause });
  }
}

function report({ pieces, scaling, unit, notes, dropped }: Imported): string {
  const long = (mm: number) => formatLength(mm, unit);
  const rows = pieces.map((p) => [
    p.name,
    `${long(p.width)} x ${long(p.height)}`,
    String(p.corners),
    p.fold ? 'on the fold' : 'whole',
    p.named ? 'known' : 'numbered',
    `${p.worst.toFixed(2)} mm`,
  ]);
  return [
    `units: ${scaling}`,
    table(['piece', 'width x height', 'corners', 'drawn', 'names', 'off by at most'], rows),
    ...pieces.flatMap((p) => p.notes.map((note) => `${p.name}: ${note}`)),
    ...notes.map((note) => `note: ${note}`),
    ...dropped.map(
      (d) => `dropped: ${d.what}${d.count > 1 ? `, ${d.count} times, first at` : ','} ${d.where}`,
    ),
    'next: walewise check the style, then add sizes and increments under grade',
  ].join('\n');
}
