import { compareWidths, runSpread, type WidthCell } from '../lay/widths.js';
import { type Block, heading, numeric, paragraph, small, type Text, table } from './document.js';
import { both, cloth, mass, money, percent, squareMetres } from './format.js';
import { modeName } from './spreading.js';
import type { ReportData, WidthTable } from './types.js';

/** The same garments on several widths, as they were compared: means over the runs, with their spread. */
export function widthBlocks(data: ReportData): Block[] {
  if (!data.widths || data.widths.length === 0) return [];
  return [heading('Widths compared'), ...data.widths.flatMap((widths) => widthTable(widths, data))];
}

function widthTable({ fabric, currency, cells }: WidthTable, data: ReportData): Block[] {
  const row = (cell: WidthCell): Text[] => {
    const head: Text = [both(cell.width, data.unit), small(modeName(cell.mode))];
    const length = runSpread(cell, 'length');
    if (!length) return [[...head, small(cell.fault ?? 'not laid yet')]];
    const { garments } = cell.runs[0]!;
    const cost = runSpread(cell, 'cost');
    return [
      head,
      [
        cloth(length.mean, data.unit),
        ...(length.runs > 1 ? [small(`${length.least.toFixed(2)} to ${length.most.toFixed(2)} m`)] : []),
      ],
      squareMetres(runSpread(cell, 'area')!.mean),
      mass(runSpread(cell, 'mass')!.mean),
      money(cost === undefined ? undefined : cost.mean / garments, currency),
      percent(runSpread(cell, 'efficiency')!.mean),
      String(length.runs),
    ];
  };
  return [
    table(
      [
        { head: 'Usable width' },
        ...numeric('Off the roll', 'Area', 'Weight', 'Cost a garment', 'Efficiency', 'Runs'),
      ],
      cells.map(row),
      { caption: `${fabric}: one ply of the same garments on each width` },
    ),
    ...verdict(cells, data),
  ];
}

/** Which is best, and which the runs do not tell from it. */
function verdict(cells: readonly WidthCell[], data: ReportData): Block[] {
  const found = compareWidths(cells);
  const best = found?.order[0];
  if (!found || !best) return [];
  const name = (cell: WidthCell) => `${both(cell.width, data.unit)}, ${modeName(cell.mode)}`;
  const measure = found.by === 'cost' ? 'cost a garment' : 'area a garment';
  const tied =
    found.tied.length > 0
      ? ` The runs do not tell it from ${found.tied.map(name).join('; ')}: a difference smaller than the spread of the runs is noise.`
      : '';
  return [paragraph(`Least ${measure}: ${name(best)}.${tied}`)];
}
