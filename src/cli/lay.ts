import { Command, Option } from 'commander';
import { InputError, suggest } from '../errors.js';
import { assertWritable, checkCutLines, cutLengthNote, writeAll } from '../exchange/index.js';
import {
  consumption,
  type Fabric,
  inMode,
  LAY_MODES,
  type LayMode,
  type Marker,
  mostOffGrain,
} from '../lay/index.js';
import { percent } from '../report/format.js';
import { formatLength, parseLength, type Unit } from '../units.js';
import {
  dayOption,
  seamErrorsOption,
  seamGate,
  unitFor,
  withCommonOptions,
  withSearchOptions,
} from './common.js';
import { checkMarker, FLAWS_HELP, readFlaws } from './flaws.js';
import {
  clothLength,
  cutLineFile,
  cutLineNotes,
  hasCutLineFaults,
  interruptSignal,
  type LayJob,
  layLive,
  markerFiles,
  markerSpec,
  type SearchChoice,
} from './laying.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, systemConsole, table } from './output.js';

interface LayOptions extends CommonOptions, SearchChoice {
  readonly marker?: string;
  readonly fabric?: string;
  readonly ratio?: Readonly<Record<string, number>>;
  readonly width?: string;
  readonly mode?: LayMode;
  readonly flaws?: string;
  readonly out?: string;
  readonly date?: Date;
  readonly allowSeamErrors?: boolean;
}

/** `walewise lay`: one marker of a style. */
export function layCommand(console: Console = systemConsole): Command {
  const command = new Command('lay')
    .description('lay one marker: all pieces of a size ratio on a fabric width')
    .argument('<style>', 'style file')
    .option('--marker <name>', 'marker of the style file')
    .option('--fabric <name>', 'fabric to lay on, with --ratio')
    .option('--ratio <sizes>', 'garments per size, such as S:1,M:2,L:1', readRatio)
    .option('--width <length>', 'usable width to lay on instead of the fabric’s own')
    .addOption(new Option('--mode <mode>', 'lay mode instead of the fabric’s own').choices([...LAY_MODES]))
    .option('--flaws <file>', 'flaws and splices of this cloth, a YAML file')
    .option('--out <folder>', 'write DXF, PDF, SVG and placements there')
    .option('--date <day>', 'date in the files', dayOption);
  const shared = seamErrorsOption(withCommonOptions(withSearchOptions(command)));
  return shared.addHelpText('after', FLAWS_HELP).action(async (file: string, options: LayOptions) => {
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const flaws = options.flaws === undefined ? undefined : await readFlaws(options.flaws, loaded.style.unit);
    const job = { ...chooseJob(loaded, options), ...flaws };
    const spec = markerSpec(loaded, job, stamp);
    const at = loaded.style.markers.findIndex((part) => part.name === job.name);
    if (options.flaws === undefined) await checkMarker(spec, file, `markers.${at}.`);
    else await checkMarker(spec, options.flaws);
    if (options.out !== undefined) await assertWritable(options.out);
    const { search } = loaded.style.lay;
    const stop = interruptSignal();
    const quiet = options.quiet === true || options.json === true;
    const marker = await layLive(spec, { ...search, seconds: job.seconds ?? search.seconds }, options, {
      console,
      quiet,
      signal: stop.signal,
    });
    stop.release();
    if (options.out !== undefined) {
      const files = [...(await markerFiles(marker, unit, options.date ?? new Date())), cutLineFile([marker])];
      const written = await writeAll(options.out, files);
      if (!quiet) console.err(`wrote ${written.join('\n      ')}`);
    }
    if (options.json) console.out(JSON.stringify(layJson(marker), null, 2));
    else {
      const used = consumption(marker);
      console.out(
        table(
          ['marker', 'fabric', 'pieces', 'garments', 'length', 'efficiency', 'kg'],
          [
            [
              marker.name,
              marker.fabric.name,
              String(marker.pieces.length),
              String(used.garments),
              clothLength(marker.length, unit),
              percent(marker.efficiency),
              used.mass.toFixed(3),
            ],
          ],
        ),
      );
      console.out(`verified free of overlap; ${marker.search.rounds} rounds, seed ${marker.search.seed}`);
      for (const line of spreadLines(marker, unit)) console.out(line);
      console.out(cutLengthNote(checkCutLines(marker)));
    }
    if (marker.search.failure) console.err(`the search ended early: ${marker.search.failure}`);
    for (const note of cutLineNotes([marker])) console.err(note);
    if (hasCutLineFaults([marker])) process.exitCode = EXIT.check;
    if (stop.interrupted()) process.exitCode = EXIT.stopped;
  });
}

/** The placements as documented, each with the outline that is cut. Lengths mm. */
export function layJson(marker: Marker) {
  return {
    name: marker.name,
    fabric: marker.fabric.name,
    ratio: marker.ratio,
    options: marker.options,
    length: marker.length,
    width: marker.width,
    density: marker.efficiency,
    ...marker.search,
    verified: marker.verified,
    mode: marker.spread.mode,
    layers: marker.layers,
    plies: marker.spread.plies,
    spreading: marker.spread.note,
    spare: marker.spare,
    ...(marker.zones ? { zones: marker.zones } : {}),
    ...(marker.stamp === undefined ? {} : { stamp: marker.stamp }),
    placements: marker.pieces.map((p) => ({
      item: p.piece.name,
      size: p.piece.size,
      garment: p.garment,
      number: p.number,
      rotation: p.rotation,
      mirror: p.mirrored,
      x: p.at[0],
      y: p.at[1],
      ...(p.fold ? { fold: p.fold } : {}),
      outline: p.outline,
    })),
  };
}

/** How to spread, what lies on a fold, what is cut beyond need, and what was kept free. */
function spreadLines(marker: Marker, unit: Unit): string[] {
  const { spread, pieces, spare, options, zones = [] } = marker;
  const halves = pieces.filter((p) => p.fold).map((p) => `${p.number} ${p.piece.name} ${p.piece.size}`);
  const flaws = zones.filter((zone) => zone.kind === 'flaw').length;
  const splices = zones
    .filter((zone) => zone.kind === 'splice')
    .map((zone) => {
      const at = (zone.outline[0]![0] + zone.outline[1]![0]) / 2;
      return `${clothLength(at, unit)} (ends lie ${formatLength(zone.overlap ?? 0, unit)} over each other)`;
    });
  return [
    ...(spread.mode === 'single' ? [] : [spread.note]),
    ...(halves.length > 0 ? [`on a fold, each half opens to one piece: ${halves.join(', ')}`] : []),
    ...(spare.length > 0
      ? [`cut beyond need: ${spare.map((s) => `${s.count} ${s.piece} ${s.size}`).join(', ')}`]
      : []),
    ...(flaws > 0 ? [`kept off ${flaws} ${flaws === 1 ? 'flaw' : 'flaws'}`] : []),
    ...(splices.length > 0 ? [`no piece crosses the splice at ${splices.join(', ')}`] : []),
    ...(options.tilt ? [`pieces lie up to ${mostOffGrain(marker).toFixed(1)} degrees off the grain`] : []),
    ...(options.shadeSpan
      ? [
          `the pieces of each garment lie within ${clothLength(options.shadeSpan, unit)} of the cloth, for shade`,
        ]
      : []),
  ];
}

/**
 * The markers that a comparison lays: the one that is named or given by its ratio, else all of a fabric (the first
 * marker's when none is named).
 *
 * @throws InputError when there is none.
 */
export function chooseJobs(
  loaded: LoadedStyle,
  options: Pick<LayOptions, 'marker' | 'fabric' | 'ratio'>,
): LayJob[] {
  const { style } = loaded;
  if (options.ratio || options.marker !== undefined) return [chooseJob(loaded, options)];
  const role = options.fabric ?? style.markers[0]?.fabric;
  const own = style.markers.filter((part) => part.fabric === role);
  if (own.length === 0) {
    const fabrics = [...new Set(style.markers.map((part) => part.fabric))];
    throw new InputError(
      role === undefined ? 'the style file has no markers' : `no marker of the style is laid on '${role}'`,
      { mend: fabrics.length > 0 ? suggest(role ?? '', fabrics) : 'give --ratio S:1,M:2 and --fabric' },
    );
  }
  return own.map((part) => chooseJob(loaded, { marker: part.name }));
}

function chooseJob(
  { style }: LoadedStyle,
  options: Pick<LayOptions, 'marker' | 'fabric' | 'ratio' | 'width' | 'mode'>,
): LayJob {
  if (options.ratio && options.marker !== undefined) {
    throw new InputError('--ratio and --marker both say what to lay', { mend: 'give one of them' });
  }
  const part = options.ratio ? undefined : chooseMarker(style.markers, options.marker);
  if (part && options.fabric !== undefined && options.fabric !== part.fabric) {
    throw new InputError(`marker '${part.name}' is laid on '${part.fabric}', not on '${options.fabric}'`, {
      mend: 'leave --fabric out, or give --ratio with it',
    });
  }
  const role = options.fabric ?? part?.fabric ?? 'self';
  const fabric = style.fabrics.get(role);
  if (!fabric) {
    throw new InputError(`the style has no fabric '${role}'`, {
      mend: suggest(role, [...style.fabrics.keys()]),
    });
  }
  const ratio = options.ratio ?? part!.ratio;
  return {
    name: part?.name ?? `${role}-${Object.keys(ratio).join('-')}`,
    fabric: inMode(atWidth(fabric, options.width, style.unit), options.mode ?? fabric.mode),
    ratio,
    seconds: part?.seconds,
    flaws: part?.flaws,
    splices: part?.splices,
  };
}

/** The fabric at another usable width, whose full width is not known. @throws InputError */
function atWidth(fabric: Fabric, width: string | undefined, unit: Unit): Fabric {
  if (width === undefined) return fabric;
  const usableWidth = parseLength(width, unit);
  if (usableWidth <= 0) throw new InputError('--width must be more than 0');
  const { fullWidth: _, ...rest } = fabric;
  return { ...rest, usableWidth };
}

function chooseMarker<T extends { readonly name: string }>(
  markers: readonly T[],
  name: string | undefined,
): T {
  const names = markers.map((m) => m.name);
  if (name === undefined) {
    if (markers[0] && markers.length === 1) return markers[0];
    throw new InputError(markers.length === 0 ? 'the style file has no markers' : 'say which marker to lay', {
      mend:
        markers.length === 0
          ? 'give --ratio S:1,M:2 and --fabric'
          : `--marker ${names.join(' or --marker ')}`,
    });
  }
  const found = markers.find((m) => m.name === name);
  if (!found) throw new InputError(`the style has no marker '${name}'`, { mend: suggest(name, names) });
  return found;
}

/** `S:1,M:2` as a size ratio. @throws InputError */
export function readRatio(text: string): Record<string, number> {
  const ratio: Record<string, number> = {};
  for (const part of text.split(',')) {
    const [size = '', count = ''] = part.trim().split(':');
    if (!size || !/^\d+$/.test(count)) {
      throw new InputError(`'${part}' is not a size with its count`, { mend: 'write it as S:1,M:2' });
    }
    if (size in ratio) throw new InputError(`size '${size}' is given twice in '${text}'`);
    ratio[size] = Number(count);
  }
  return ratio;
}
