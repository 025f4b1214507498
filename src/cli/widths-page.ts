import { type Cell, csv } from '../exchange/index.js';
import {
  compareWidths,
  type Fabric,
  type RunSpread,
  runSpread,
  type SizeRatio,
  type WidthCell,
  type WidthMeasure,
} from '../lay/index.js';
import { percent, plural } from '../report/format.js';
import { Html, html, table as htmlTable, list } from '../report/html.js';
import { formatLength, type Unit } from '../units.js';
import { clothLength } from './laying.js';
import { type Panel, widthsPlot } from './widths-plot.js';
import type { WidthBudget } from './widths-runs.js';

/** All there is to tell of a comparison. */
export interface Comparison extends ComparisonFacts {
  readonly cells: readonly WidthCell[];
}

export interface ComparisonFacts {
  readonly style: string;
  readonly fabric: Fabric;
  readonly markers: readonly { readonly name: string; readonly ratio: SizeRatio }[];
  readonly budget: WidthBudget;
  readonly seeds: readonly number[];
  readonly threads: number;
  /** Of this call, on the clock. */
  readonly seconds: number;
  /** Searches that an earlier call had finished; all that were wanted; all that are done now. */
  readonly resumed: number;
  readonly wanted: number;
  readonly done: number;
  readonly unit: Unit;
  /** Plies that make the style's order, where its sizes are in the markers' ratio. */
  readonly times?: number;
  readonly stamp?: string;
}

export const comparisonOf = (cells: readonly WidthCell[], facts: ComparisonFacts): Comparison => ({
  ...facts,
  cells,
});

/** The table for people: a row for each width and mode, means over the runs. */
export function widthRows(comparison: Comparison): { head: string[]; rows: string[][] } {
  const { cells, fabric, unit } = comparison;
  const priced = cells.some((cell) => runSpread(cell, 'cost'));
  const head = [
    'width',
    'mode',
    'length',
    'least',
    'spread',
    'a garment',
    'm2',
    'kg',
    ...(priced ? [`${fabric.currency} a garment`] : []),
    'efficiency',
    'runs',
  ];
  const rows = cells.map((cell) => {
    const start = [formatLength(cell.width, unit === 'in' ? 'cm' : unit), cell.mode];
    const length = runSpread(cell, 'length');
    if (!length) {
      const why = cell.fault === undefined ? 'not laid yet' : 'cannot be laid';
      return head.map((_, i) => [...start, why][i] ?? '');
    }
    const { garments } = cell.runs[0]!;
    const mean = (measure: WidthMeasure) => runSpread(cell, measure)?.mean;
    const cost = mean('cost');
    return [
      ...start,
      `${length.mean.toFixed(3)} m`,
      `${length.least.toFixed(3)} m`,
      spreadPercent(length),
      clothLength((1000 * length.mean) / garments, unit),
      mean('area')!.toFixed(2),
      mean('mass')!.toFixed(2),
      ...(priced ? [cost === undefined ? '' : (cost / garments).toFixed(2)] : []),
      percent(mean('efficiency')!),
      String(cell.runs.length),
    ];
  });
  return { head, rows };
}

/** What follows from the table, a sentence a line. */
export function summaryLines(comparison: Comparison): string[] {
  const { cells, budget, seeds, threads, wanted, done, fabric, stamp } = comparison;
  const each = 'seconds' in budget ? `${budget.seconds} s` : `${budget.iterations} rounds`;
  return [
    ...(stamp === undefined ? [] : [stamp]),
    ...verdictLines(comparison),
    ...orderLine(comparison),
    ...cells
      .filter((cell) => cell.fault !== undefined)
      .map((cell) => `${nameOf(cell)} cannot be laid: ${cell.fault}`),
    `Each width and mode: ${plural(seeds.length, 'search', 'searches')} of ${each} in one thread, ${threads} at a time; means are shown.`,
    ...roundsLine(cells),
    ...(done < wanted
      ? [`${done} of ${wanted} searches are done; the same command goes on with the rest.`]
      : []),
    ...(fabric.pricePerMetre === undefined
      ? []
      : [
          `Prices: ${fabric.pricePerMetre} ${fabric.currency}/m at ${widthText(fabric.usableWidth)}; other widths at the same price per square metre.`,
        ]),
  ];
}

/** What the whole order takes at the best width, were it laid like this. */
function orderLine({ cells, times, fabric }: Comparison): string[] {
  const best = compareWidths(cells)?.order[0];
  if (!best || times === undefined) return [];
  const mean = (measure: WidthMeasure) => times * runSpread(best, measure)!.mean;
  const cost = runSpread(best, 'cost') ? `, ${mean('cost').toFixed(2)} ${fabric.currency}` : '';
  const garments = times * best.runs[0]!.garments;
  return [
    `The order's ${garments} garments are ${Number(times.toFixed(2))} times this: ${nameOf(best)} takes ${mean('length').toFixed(2)} m, ${mean('area').toFixed(2)} m2, ${mean('mass').toFixed(2)} kg${cost} for them.`,
  ];
}

/** Equal times are unequal work on a machine that does other things too. */
function roundsLine(cells: readonly WidthCell[]): string[] {
  const rounds = cells.flatMap((cell) => cell.runs.map((run) => run.rounds));
  if (rounds.length === 0) return [];
  const [least, most] = [Math.min(...rounds), Math.max(...rounds)];
  if (most <= 2 * least) return [];
  return [
    `A search did ${least} to ${most} rounds in its time: the machine was busy, or some are much harder. --iterations gives each the same work.`,
  ];
}

function verdictLines({ cells, fabric, seeds }: Comparison): string[] {
  const verdict = compareWidths(cells);
  const best = verdict?.order[0];
  if (!verdict || !best) return ['Nothing was laid.'];
  const worth = (cell: WidthCell) => {
    const mean = runSpread(cell, verdict.by)!.mean / cell.runs[0]!.garments;
    return verdict.by === 'cost'
      ? `${mean.toFixed(2)} ${fabric.currency} a garment`
      : `${mean.toFixed(3)} m2 a garment`;
  };
  const lines = [`Least: ${nameOf(best)}, ${worth(best)}.`];
  const idle = cells.flatMap((cell) => cell.runs).filter((run) => run.rounds === 0).length;
  if (idle > 0) {
    return [
      ...lines,
      `${plural(idle, 'search had', 'searches had')} no time for a single round and show the length they started from: nothing can be said of differences. Give more --seconds.`,
    ];
  }
  const next = verdict.order[1];
  if (!next) return lines;
  if (seeds.length === 1 || best.runs.length === 1) {
    return [
      ...lines,
      `One search each: nothing tells a difference from noise. Next: ${nameOf(next)}, ${worth(next)}.`,
    ];
  }
  if (verdict.tied.length > 0) {
    const names = verdict.tied.map((cell) => `${nameOf(cell)} (${worth(cell)})`).join(', ');
    return [
      ...lines,
      `Not told apart from it, for their runs overlap: ${names}. More --seeds or --iterations may.`,
    ];
  }
  return [
    ...lines,
    `Every run of it is better than every run of the next, ${nameOf(next)} (${worth(next)}); of two that are alike that would be seen in ${percent(verdict.chance)} of comparisons.`,
  ];
}

const PANELS: readonly Panel[] = [
  { measure: 'length', title: 'Length off the roll, m', shown: (v) => v, decimals: 3 },
  { measure: 'area', title: 'Cloth, m²', shown: (v) => v, decimals: 3 },
  { measure: 'mass', title: 'Cloth, kg', shown: (v) => v, decimals: 3 },
  { measure: 'cost', title: 'Cloth per garment', shown: (v, garments) => v / garments, decimals: 3 },
  { measure: 'efficiency', title: 'Efficiency, %', shown: (v) => 100 * v, decimals: 2 },
];

/** The plot alone, as SVG. */
export function widthsSvg({ cells, fabric, style }: Comparison): string {
  const panels = PANELS.filter(
    ({ measure }) => measure !== 'cost' || cells.some((c) => runSpread(c, 'cost')),
  );
  return widthsPlot(
    cells,
    panels.map((panel) =>
      panel.measure === 'cost' ? { ...panel, title: `${panel.title}, ${fabric.currency}` } : panel,
    ),
    `${style}: widths and lay modes compared`,
  );
}

/** One page with plot, table and what follows from them; no network. */
export function widthsHtml(comparison: Comparison): string {
  const { style, fabric, markers } = comparison;
  const { head, rows } = widthRows(comparison);
  const columns = head.map((name, i) => ({ head: name, numeric: i > 1 }));
  const ratios = markers.map(({ name, ratio }) => {
    const sizes = Object.entries(ratio).filter(([, count]) => count > 0);
    return `${name}: ${sizes.map(([size, count]) => `${size} x ${count}`).join(', ')}`;
  });
  const page = html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${style}: widths compared</title>
<style>${new Html(STYLE)}</style></head>
<body><main>
<h1>${style}: widths and lay modes</h1>
<p>Fabric ${fabric.name} (${fabric.description}), one ply of each marker: ${ratios.join('; ')}.</p>
${list(summaryLines(comparison))}
<div class="scroll">${new Html(widthsSvg(comparison))}</div>
${htmlTable(columns, rows, 'Means over the runs of each width and mode; spread is the greatest over the least length.')}
</main></body></html>
`;
  return page.source;
}

const STYLE =
  'body{font:15px/1.5 system-ui,sans-serif;margin:0;color:#222;background:#fff}main{max-width:980px;margin:0 auto;padding:16px}h1{font-size:1.4em}.scroll{overflow-x:auto}svg{max-width:100%;height:auto}table{border-collapse:collapse;font-size:13px;white-space:nowrap}caption{text-align:left;color:#444;padding:8px 0}th,td{padding:3px 10px 3px 0;border-bottom:1px solid #ddd;text-align:left;font-weight:normal}thead th{font-weight:bold}.n{text-align:right}@media print{.scroll{overflow:visible}}';

/** A row for every run, and one for what cannot be laid. */
export function widthsCsv({ cells, fabric }: Comparison): string {
  const head = [
    'usable width mm',
    'mode',
    'seed',
    'length m',
    'area m2',
    'mass kg',
    'cost',
    'currency',
    'cost per garment',
    'garments',
    'efficiency %',
    'cannot be laid',
  ];
  const rows = cells.flatMap((cell): Cell[][] => {
    if (cell.fault !== undefined) {
      return [[cell.width, cell.mode, ...new Array<Cell>(9).fill(undefined), cell.fault]];
    }
    return cell.runs.map((run) => [
      cell.width,
      cell.mode,
      run.seed,
      run.length,
      run.area,
      run.mass,
      run.cost,
      fabric.currency,
      run.cost === undefined ? undefined : run.cost / run.garments,
      run.garments,
      100 * run.efficiency,
      undefined,
    ]);
  });
  return csv([head, ...rows]);
}

const widthText = (mm: number): string => formatLength(mm, 'cm');
const nameOf = (cell: WidthCell): string => `${widthText(cell.width)} ${cell.mode}`;
const spreadPercent = ({ least, most, runs }: RunSpread): string =>
  runs === 1 ? '' : `${(100 * (most / least - 1)).toFixed(2)} %`;
