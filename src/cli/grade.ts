import { Command } from 'commander';
import { chartCsv, type OutputFile, piecesSvg, sizeNestSvg, truingCsv, writeAll } from '../exchange/index.js';
import type { ChartRow } from '../grade/types.js';
import { formatLength, type Unit } from '../units.js';
import { unitFor, withCommonOptions } from './common.js';
import { type LoadedStyle, loadStyle } from './load.js';
import { type CommonOptions, type Console, systemConsole, table } from './output.js';

interface GradeOptions extends CommonOptions {
  readonly out?: string;
}

/** `walewise grade`: the size chart, and drawings of the graded pieces. */
export function gradeCommand(console: Console = systemConsole): Command {
  const command = new Command('grade')
    .description('grade the altered base to its size range; print the size chart')
    .argument('<style>', 'style file')
    .option('--out <folder>', 'write chart, truing and size nests there');
  return withCommonOptions(command).action(async (file: string, options: GradeOptions) => {
    const loaded = await loadStyle(file);
    const unit = unitFor(options, loaded.style);
    const { chart } = loaded.developed;
    if (options.json) console.out(JSON.stringify({ style: loaded.style.name, unit: 'mm', chart }, null, 2));
    else console.out(chartTable(chart, unit));
    if (options.out === undefined) return;
    const written = await writeAll(options.out, gradeFiles(loaded, unit));
    if (!options.quiet && !options.json) console.out(`\nwrote ${written.join('\n      ')}`);
  });
}

/** The size chart: what each point of measure measures, and how far it is from what it should. */
export function chartTable(chart: readonly ChartRow[], unit: Unit): string {
  const sizes = chart[0]?.cells.map((cell) => cell.size) ?? [];
  const rows = chart.map((row) => {
    const worst = Math.max(0, ...row.cells.map((cell) => Math.abs(cell.difference ?? 0)));
    const known = row.cells.some((cell) => cell.difference !== undefined);
    const lengths = row.cells.map((cell) => formatLength(cell.measured, unit, { mark: false }));
    return [row.measure, ...lengths, known ? `${worst.toFixed(2)} mm` : ''];
  });
  return table([`measure (${unit})`, ...sizes, 'most off'], rows);
}

/** Files of a graded range: tables, and a size nest of every piece. */
export function gradeFiles({ style, developed }: LoadedStyle, unit: Unit): OutputFile[] {
  const { range, chart, truing, finished, base } = developed;
  const baseSize = finished.find((s) => s.size === range.base)!;
  return [
    { name: 'size-chart.csv', content: chartCsv(chart, unit) },
    { name: 'truing.csv', content: truingCsv(truing, unit) },
    {
      name: 'pieces.svg',
      content: piecesSvg(baseSize.pieces, { title: `${style.name}, size ${range.base}` }),
    },
    ...base.pieces.map((piece) => ({
      name: `size-nest-${piece.name}.svg`,
      content: sizeNestSvg(range, piece.name),
    })),
  ];
}
