import { Command, Option } from 'commander';
import type { BodyMeasurements } from '../draft/body.js';
import type { PresetLibrary } from '../style/presets.js';
import { formatLength, UNITS, type Unit } from '../units.js';
import { loadPresets } from './load.js';
import { type Console, isUnit, systemConsole, table } from './output.js';

/** `walewise presets`: what a style may name, and where each value comes from. */
export function presetsCommand(console: Console = systemConsole): Command {
  return new Command('presets')
    .description('list blocks, body charts, increments and fabrics a style may name, with their sources')
    .option('--json', 'print one JSON value for machines')
    .addOption(new Option('--units <unit>', 'units of what is printed').choices([...UNITS]).default('cm'))
    .action(async (options: { json?: boolean; units: string }) => {
      const library = await loadPresets();
      const unit: Unit = isUnit(options.units) ? options.units : 'cm';
      if (options.json) {
        const plain = Object.fromEntries(
          Object.entries(library).map(([kind, shelf]) => [
            kind,
            Object.fromEntries(shelf as ReadonlyMap<string, unknown>),
          ]),
        );
        console.out(JSON.stringify(plain, null, 2));
      } else console.out(listing(library, unit));
    });
}

function listing(library: PresetLibrary, unit: Unit): string {
  const parts: string[] = [];
  for (const block of library.blocks.values()) {
    parts.push(`block ${block.name}: ${block.title}; body chart ${block.chart}\n  source: ${block.source}`);
  }
  for (const chart of library.charts.values()) {
    const sizes = Object.keys(chart.sizes);
    const measures = Object.keys(Object.values(chart.sizes)[0] ?? {}) as (keyof BodyMeasurements)[];
    const rows = measures.map((m) => [
      spoken(m),
      ...sizes.map((size) => formatLength(chart.sizes[size]![m], unit, { mark: false })),
      chart.sources[dashed(m)] ?? '',
    ]);
    parts.push(
      `body chart ${chart.name}: ${chart.title} (${unit})\n  source: ${chart.source}\n${table(['measure', ...sizes, 'source'], rows)}`,
    );
  }
  for (const preset of library.increments.values()) {
    const rows = Object.entries(preset.increments).map(([measure, increment]) => [
      measure,
      formatLength(increment.step, unit, { mark: false }),
      Object.entries(increment.breaks)
        .map(([size, step]) => `${size} ${formatLength(step, unit, { mark: false })}`)
        .join(', '),
      increment.source,
    ]);
    parts.push(
      `increments ${preset.name}: ${preset.title} (${unit} per size)\n  source: ${preset.source}\n${table(['measure', 'step', 'breaks', 'source'], rows)}`,
    );
  }
  const fabrics = [...library.fabrics].map(([name, f]) => [
    name,
    f.description ?? '',
    f['usable-width'] === undefined ? '' : formatLength(f['usable-width'], unit),
    f['g-per-m2'] === undefined ? '' : String(f['g-per-m2']),
  ]);
  parts.push(`fabrics\n${table(['name', 'what it is', 'usable width', 'g/m2'], fabrics)}`);
  return parts.join('\n\n');
}

const dashed = (camel: string): string => camel.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
const spoken = (camel: string): string => dashed(camel).replaceAll('-', ' ');
