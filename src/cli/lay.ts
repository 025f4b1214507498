import { Command } from 'commander';
import { InputError, suggest } from '../errors.js';
import { assertWritable, writeAll } from '../exchange/index.js';
import { consumption, type Fabric, type Marker, planMarker } from '../lay/index.js';
import { parseLength, type Unit } from '../units.js';
import {
  dayOption,
  seamErrorsOption,
  seamGate,
  secondsOption,
  unitFor,
  wholeNumber,
  withCommonOptions,
} from './common.js';
import {
  clothLength,
  interruptSignal,
  type LayJob,
  layLive,
  markerFiles,
  markerSpec,
  percent,
  type SearchChoice,
} from './laying.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, EXIT, systemConsole, table } from './output.js';

interface LayOptions extends CommonOptions, SearchChoice {
  readonly marker?: string;
  readonly fabric?: string;
  readonly ratio?: Readonly<Record<string, number>>;
  readonly width?: string;
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
    .option('--seconds <n>', 'time to search', secondsOption)
    .option('--iterations <n>', 'rounds to search, for a result that repeats', wholeNumber('--iterations', 1))
    .option('--seed <n>', 'seed of the search', wholeNumber('--seed', 0))
    .option('--threads <n>', 'worker threads', wholeNumber('--threads', 1))
    .option('--out <folder>', 'write DXF, PDF, SVG and placements there')
    .option('--date <day>', 'date in the files', dayOption);
  return seamErrorsOption(withCommonOptions(command)).action(async (file: string, options: LayOptions) => {
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const stamp = seamGate(loaded, options.allowSeamErrors ?? false);
    const job = chooseJob(loaded, options);
    const spec = markerSpec(loaded, job, stamp);
    planMarker(spec);
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
      const files = await markerFiles(marker, unit, options.date ?? new Date());
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
    }
    if (stop.interrupted()) process.exitCode = EXIT.stopped;
  });
}

/** The placements as documented, each with the outline that is cut. Lengths mm. */
export function layJson(marker: Marker) {
  return {
    name: marker.name,
    length: marker.length,
    width: marker.width,
    density: marker.efficiency,
    ...marker.search,
    verified: marker.verified,
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
      outline: p.outline,
    })),
  };
}

function chooseJob({ style }: LoadedStyle, options: LayOptions): LayJob {
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
    fabric: atWidth(fabric, options.width, style.unit),
    ratio,
    seconds: part?.seconds,
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

function readRatio(text: string): Record<string, number> {
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
