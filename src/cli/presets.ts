import { Command, Option } from 'commander';
import { SAFE_RANGES } from '../alter/index.js';
import type { BodyMeasurements } from '../draft/body.js';
import { type BodyChart, DISTRIBUTIONS, type Distribution, type IncrementPreset } from '../grade/index.js';
import type { BlockPreset, PresetLibrary } from '../style/presets.js';
import { formatLength, inchFraction, UNITS, type Unit } from '../units.js';
import { loadPresets } from './load.js';
import { type Console, isUnit, systemConsole, table } from './output.js';

/** `walewise presets`: what a style may name, and where each value comes from. */
export function presetsCommand(console: Console = systemConsole): Command {
  return new Command('presets')
    .description('list blocks, body charts, increments and fabrics a style may name, with their sources')
    .option('--json', 'print one JSON value for machines')
    .addOption(
      new Option('--units <unit>', 'units of what is printed (default: both cm and in)').choices([...UNITS]),
    )
    .action(async (options: { json?: boolean; units?: string }) => {
      const library = await loadPresets();
      if (options.json) {
        const plain = Object.fromEntries(
          Object.entries(library).map(([kind, shelf]) => [
            kind,
            Object.fromEntries(shelf as ReadonlyMap<string, unknown>),
          ]),
        );
        console.out(
          JSON.stringify({ ...plain, distributions: DISTRIBUTIONS, 'safe-ranges': SAFE_RANGES }, null, 2),
        );
        return;
      }
      const units: Unit[] =
        options.units !== undefined && isUnit(options.units) ? [options.units] : ['cm', 'in'];
      console.out(listing(library, units));
    });
}

function listing(library: PresetLibrary, units: readonly Unit[]): string {
  return [
    ...[...library.blocks.values()].map(blockText),
    ...[...library.charts.values()].map((chart) => chartText(chart, units)),
    ...[...library.increments.values()].map((preset) => incrementsText(preset, units)),
    ...Object.values(DISTRIBUTIONS).map(distributionText),
    fabricsText(library, units[0]!),
    rangesText(units),
  ].join('\n\n');
}

const blockText = (block: BlockPreset): string =>
  `block ${block.name}: ${block.title}; body chart ${block.chart}\n  source: ${block.source}`;

/** One table a unit; sources stand beside the first. */
function chartText(chart: BodyChart, units: readonly Unit[]): string {
  const sizes = Object.keys(chart.sizes);
  const measures = Object.keys(Object.values(chart.sizes)[0] ?? {}) as (keyof BodyMeasurements)[];
  const columns: [string, readonly number[]][] = [
    ...measures.map((m): [string, number[]] => [dashed(m), sizes.map((size) => chart.sizes[size]![m])]),
    ...Object.entries(chart.more).map(([m, by]): [string, number[]] => [m, sizes.map((size) => by[size]!)]),
  ];
  const tables = units.map((unit, i) => {
    const rows = columns.map(([name, values]) => [
      name.replaceAll('-', ' '),
      ...values.map((mm) => formatLength(mm, unit, { mark: false })),
      ...(i === 0 ? [chart.sources[name] ?? ''] : []),
    ]);
    return table([`measure (${unit})`, ...sizes, ...(i === 0 ? ['source'] : [])], rows);
  });
  const head = `body chart ${chart.name}: ${chart.title}\n  source: ${chart.source}`;
  return [head, ...tables].join('\n');
}

/** Each step in every unit; the table's own unit is exact, the other rounded. */
function incrementsText(preset: IncrementPreset, units: readonly Unit[]): string {
  const written = (mm: number, unit: Unit) =>
    unit === 'in' && preset.unit === 'in' ? inchFraction(mm, 64) : formatLength(mm, unit, { mark: false });
  const rows = Object.entries(preset.increments).map(([measure, increment]) => [
    measure,
    ...units.map((unit) => written(increment.step, unit)),
    ...units.map((unit) =>
      Object.entries(increment.breaks)
        .map(([size, step]) => `${size}: ${written(step, unit)}`)
        .join(', '),
    ),
    increment.source,
  ]);
  const head = [
    'measure',
    ...units.map((unit) => `step (${unit})`),
    ...units.map((unit) => `breaks (${unit})`),
    'source',
  ];
  const { sizes, base } = preset.ladder;
  return (
    `increments ${preset.name}: ${preset.title}; sizes ${sizes.join(', ')}, base ${base}, per size\n` +
    `  source: ${preset.source}\n${table(head, rows)}`
  );
}

function distributionText({ name, title, source, measures }: Distribution): string {
  const worked = Object.entries(measures).map(([measure, from]) => {
    const terms = Object.entries(from).map(([of, factor]) => `${Number(factor.toFixed(4))} x ${of}`);
    return `  ${measure} = ${terms.join(' + ')}`;
  });
  return [`distribution ${name}: ${title}`, `  source: ${source}`, ...worked].join('\n');
}

function fabricsText(library: PresetLibrary, unit: Unit): string {
  const fabrics = [...library.fabrics].map(([name, f]) => [
    name,
    f.description ?? '',
    f['usable-width'] === undefined ? '' : formatLength(f['usable-width'], unit),
    f['g-per-m2'] === undefined ? '' : String(f['g-per-m2']),
  ]);
  return `fabrics\n${table(['name', 'what it is', 'usable width', 'g/m2'], fabrics)}`;
}

/** Amounts of the steps that an adult's block takes in almost any combination. */
function rangesText(units: readonly Unit[]): string {
  const rows = Object.entries(SAFE_RANGES).map(([name, range]) => [
    dashed(name).replaceAll('-', ' '),
    ...units.flatMap((unit) => range.map((mm) => formatLength(mm, unit, { mark: false }))),
  ]);
  const head = ['amount', ...units.flatMap((unit) => [`from (${unit})`, `to (${unit})`])];
  return `amounts of alterations that an adult block takes in almost any combination; others may do as well\n${table(head, rows)}`;
}

const dashed = (camel: string): string => camel.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
