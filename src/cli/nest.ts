import { readFile } from 'node:fs/promises';
import { Command } from 'commander';
import { InputError } from '../errors.js';
import type { NestProgress, NestResult } from '../nest/types.js';
import { percent } from '../report/format.js';
import { secondsOption, wholeNumber } from './common.js';
import { interruptSignal } from './laying.js';
import { type Console, EXIT, liveLine, systemConsole, table } from './output.js';

interface NestCommandOptions {
  readonly seconds?: number;
  readonly iterations?: number;
  readonly seed?: number;
  readonly threads?: number;
  readonly gap?: number;
  readonly start?: string;
  readonly json?: boolean;
  readonly quiet?: boolean;
}

const INSTANCE_HELP = `
The instance, in any unit:
  {"name": "shelf", "stripWidth": 40, "gap": 0.2,
   "items": [{"id": "a", "demand": 8, "allowedOrientations": [0, 180], "polygon": [[0, 0], [7, 1], [0, 7]]}]}
An item may also have
  "allowMirror": true            copies may be mirrored
  "groups": ["g1", ...]          one name per copy: a group lies one way
  "tilt": 2                      degrees a copy may turn away from an allowed orientation, up to 15
  "spans": ["s1", ...]           one name per copy: the pieces of a span lie within "spanLength"
  "edge": "low" | "high"         copies touch this side of the strip: y = 0 or y = stripWidth
and the instance
  "spanLength": 900              greatest length of strip that a span takes
  "zones": [{"x", "y", "width", "height"} | {"polygon": [[x, y], ...]}]   where no piece may lie
  "pins": [{"item", "copy", "rotation", "mirror", "x", "y"}]              copies that stay where they are
  "start": [placements]                                                 a whole layout to improve on
A placement: the polygon is mirrored (x -> -x) if "mirror", turned counter-clockwise by "rotation" degrees
about its own origin, then moved by (x, y).`;

/** `walewise nest`: the packing engine alone, on one bare instance. */
export function nestCommand(console: Console = systemConsole): Command {
  return new Command('nest')
    .description('pack the polygons of a bare instance into a strip as short as the search finds')
    .argument('<instance>', 'JSON: {name, stripWidth, items: [{id, demand, allowedOrientations, polygon}]}')
    .option('--seconds <n>', 'time to search (default: 10)', secondsOption)
    .option('--iterations <n>', 'rounds to search, for a result that repeats', wholeNumber('--iterations', 0))
    .option('--seed <n>', 'seed of the search (default: 1)', wholeNumber('--seed', 0))
    .option('--threads <n>', 'worker threads (default: 2)', wholeNumber('--threads', 0))
    .option('--gap <n>', "least distance between pieces, in the instance's unit", gapNumber)
    .option('--start <file>', 'improve on this layout, printed with --json before, instead of starting anew')
    .option('--json', 'print one JSON value for machines')
    .option('--quiet', 'print only what was asked for')
    .addHelpText('after', INSTANCE_HELP)
    .action(async (file: string, options: NestCommandOptions) => {
      const { nest, readInstance, readPlacements } = await import('../nest/index.js');
      const json = await readJson(file);
      const read = located(file, () => readInstance(json));
      const { start } = options;
      const layout = start === undefined ? undefined : await readJson(start);
      const instance = {
        ...read,
        ...(options.gap === undefined ? {} : { gap: options.gap }),
        ...(start === undefined ? {} : { start: located(start, () => readPlacements(layout)) }),
      };
      const stop = interruptSignal();
      const live = liveLine(console, options.quiet === true);
      let result: NestResult;
      try {
        const { seconds, iterations, seed, threads } = options;
        result = await nest(instance, {
          ...(seconds === undefined ? {} : { seconds }),
          ...(iterations === undefined ? {} : { iterations }),
          ...(seed === undefined ? {} : { seed }),
          ...(threads === undefined ? {} : { threads }),
          signal: stop.signal,
          onProgress: (progress) => live.show(`${instance.name}: ${progressText(progress)}`),
        });
      } finally {
        live.clear();
        stop.release();
      }
      if (result.failure) console.err(`the search ended early: ${result.failure}`);
      console.out(options.json ? resultJson(result, json) : resultTable(result));
      process.exitCode = result.stopped ? EXIT.stopped : EXIT.done;
    });
}

async function readJson(file: string): Promise<unknown> {
  let text: string;
  try {
    text = await readFile(file, 'utf8');
  } catch (cause) {
    throw new InputError('cannot read this file', { place: { file }, mend: 'check the path', cause });
  }
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw new InputError(`not JSON: ${(cause as Error).message}`, { place: { file }, cause });
  }
}

function located<T>(file: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    throw error instanceof InputError ? error.at({ file }) : error;
  }
}

function gapNumber(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value) || value < 0) {
    throw new InputError(`--gap must be a number of 0 or more, not '${text}'`);
  }
  return value;
}

const progressText = ({ phase, elapsed, length, density }: NestProgress): string =>
  `${phase}, ${elapsed.toFixed(0)} s, length ${Number(length.toPrecision(6))}, ${percent(density)} (Ctrl-C keeps the best so far)`;

/** Items keep the ids of the file, which may be numbers there. */
function resultJson(result: NestResult, json: unknown): string {
  const items = (json as { items: { id: string | number }[] }).items;
  const ids = new Map(items.map(({ id }) => [String(id), id]));
  const { name, length, density, seconds, seed, threads, placements, ...rest } = result;
  return JSON.stringify({
    name,
    length,
    density,
    seconds,
    seed,
    threads,
    placements: placements.map((p) => ({ ...p, item: ids.get(p.item) ?? p.item })),
    ...rest,
  });
}

function resultTable(result: NestResult): string {
  const { name, length, density, seconds, seed, iterations, repeatable, placements } = result;
  const rows = placements.map((p) => [
    `${p.item}#${p.copy}`,
    String(p.rotation),
    p.mirror ? 'yes' : 'no',
    String(p.x),
    String(p.y),
  ]);
  const repeat = repeatable
    ? `repeat it with --seed ${seed} --iterations ${iterations}`
    : 'it was cut short, so no number of rounds repeats it';
  return [
    table(['piece', 'rotation', 'mirrored', 'x', 'y'], rows),
    '',
    `${name}: length ${length}, density ${percent(density)}, checked exactly, ${seconds.toFixed(1)} s; ${repeat}`,
  ].join('\n');
}
