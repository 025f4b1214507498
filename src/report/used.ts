import type { OrderUse } from '../lay/purchase-order.js';
import { roundTogether } from '../lay/share.js';
import { type Block, heading, list, numeric, small, type Text, table } from './document.js';
import { cloth, mass, money, percent, squareMetres, yards } from './format.js';
import { pliesOf, usesBySize } from './laid.js';
import type { ReportData } from './types.js';

/** Fabric used per marker, size, colour and garment, with the formulae. */
export function usedBlocks(data: ReportData): Block[] {
  return [
    heading('Fabric used'),
    ...(data.consumption.length > 0 ? [perMarker(data), ...perFabric(data), ...perGarment(data)] : []),
    heading('How it is reckoned', 3),
    list([
      'Ply length (m) = marker length + the end allowance at both ends.',
      'Length off the roll (m) = ply length / (1 − share the roll loses when it relaxes before spreading).',
      'Area (m²) = length off the roll x full width (usable width where no other is given) x layers: a tube or a folded ply has two.',
      'Weight (kg) = area x g/m² / 1000.',
      'Cost = length x price per metre, or weight x price per kilogram, whichever the fabric states.',
      'Efficiency = area inside the cut lines / (marker length x usable width). Utilisation = the same area / (ply length x full width).',
      'Per size: a marker is shared out in proportion to the area of the pieces of each size; the sizes add up to the whole, rounded figures too.',
      'To buy = (plies x length off the roll, summed over the lays of a fabric and colour) x (1 + spare), rounded up; or whole rolls, each counted for its length / (1 + spare), plies drawn one after another.',
      'Wash shrinkage is in the cut pieces and so in the marker length. It is added nowhere else.',
    ]),
  ];
}

const lengthCell = (metres: number, data: ReportData): Text =>
  data.unit === 'in' ? [`${metres.toFixed(2)} m`, small(yards(metres))] : `${metres.toFixed(2)} m`;

function perMarker(data: ReportData): Block {
  const rows = data.consumption.map((c): Text[] => [
    [c.marker, small(c.fabric)],
    lengthCell(c.markerLength, data),
    lengthCell(c.plyLength, data),
    lengthCell(c.rollLength, data),
    squareMetres(c.area),
    mass(c.mass),
    money(c.cost, c.currency),
    percent(c.efficiency),
    percent(c.utilisation),
    String(pliesOf(data, c.marker)),
  ]);
  return table(
    [
      { head: 'Marker, one ply' },
      ...numeric(
        'Length',
        'Ply',
        'Off the roll',
        'Area',
        'Weight',
        'Cost',
        'Efficiency',
        'Utilisation',
        'Plies to lay',
      ),
    ],
    rows,
    { caption: 'Per marker, one ply' },
  );
}

/** The sizes of every fabric and colour, each column rounded so that it adds up to its total. */
function perFabric(data: ReportData): Block[] {
  const groups = new Map<string, OrderUse[]>();
  for (const use of usesBySize(data)) {
    const key = JSON.stringify([use.fabric, use.colour]);
    groups.set(key, [...(groups.get(key) ?? []), use]);
  }
  return [...groups.values()].map((uses) => {
    const { fabric, colour } = uses[0]!;
    const currency = data.consumption.find((c) => c.fabric === fabric)!.currency;
    return sizesTable(uses, colour === undefined ? fabric : `${fabric}, ${colour}`, currency, data);
  });
}

function sizesTable(uses: readonly OrderUse[], name: string, currency: string, data: ReportData): Block {
  const priced = uses.every((u) => u.cost !== undefined);
  const columns = {
    length: together(uses.map((u) => u.length)),
    area: together(uses.map((u) => u.area)),
    mass: together(uses.map((u) => u.mass)),
    cost: priced ? together(uses.map((u) => u.cost!)) : undefined,
  };
  const garments = uses.reduce((sum, u) => sum + u.garments, 0);
  const row = (head: string, n: number, i: number): Text[] => {
    const at = <T>(column: readonly T[]) => column[i < 0 ? column.length - 1 : i]!;
    const length = at(columns.length);
    return [
      head,
      String(n),
      cloth(length, data.unit),
      squareMetres(at(columns.area)),
      `${at(columns.mass).toFixed(2)} kg`,
      columns.cost ? money(at(columns.cost), currency) : 'no price given',
      cloth(length / n, data.unit),
      mass(at(columns.mass) / n),
      columns.cost ? money(at(columns.cost) / n, currency) : '',
    ];
  };
  return table(
    [
      { head: 'Size' },
      ...numeric('Garments', 'Length', 'Area', 'Weight', 'Cost', 'Length each', 'Weight each', 'Cost each'),
    ],
    [...uses.map((u, i) => row(u.size, u.garments, i)), row('All sizes', garments, -1)],
    { caption: `${name}: off the roll, by size`, total: true },
  );
}

/** Rounded to hundredths, with their sum as the last. */
function together(values: readonly number[]): number[] {
  const rounded = roundTogether(values, 2);
  return [...rounded, Number(rounded.reduce((sum, v) => sum + v, 0).toFixed(2))];
}

/** What the cloth of one garment comes to over all fabrics, by size. */
function perGarment(data: ReportData): Block[] {
  const uses = usesBySize(data);
  const fabrics = [...new Set(uses.map((u) => u.fabric))];
  if (fabrics.length < 2) return [];
  const sizes = data.range.sizes.map(({ size }) => size).filter((size) => uses.some((u) => u.size === size));
  const currency = data.consumption[0]!.currency;
  const each = (size: string, fabric: string) => {
    const own = uses.filter((u) => u.size === size && u.fabric === fabric);
    const n = own.reduce((sum, u) => sum + u.garments, 0);
    if (n === 0) return undefined;
    const sum = (of: (u: OrderUse) => number | undefined) =>
      own.reduce((total, u) => total + (of(u) ?? Number.NaN), 0) / n;
    return { length: sum((u) => u.length), mass: sum((u) => u.mass), cost: sum((u) => u.cost) };
  };
  const rows = sizes.map((size): Text[] => {
    const parts = fabrics.map((fabric) => each(size, fabric));
    const cost = parts.reduce((sum, p) => sum + (p?.cost ?? Number.NaN), 0);
    const weight = parts.reduce((sum, p) => sum + (p?.mass ?? 0), 0);
    return [
      size,
      ...parts.map((p) => (p ? lengthCell(p.length, data) : '')),
      mass(weight),
      Number.isFinite(cost) ? money(cost, currency) : 'no price given',
    ];
  });
  return [
    table([{ head: 'Size' }, ...numeric(...fabrics, 'Weight', 'Cost')], rows, {
      caption: 'One garment, all fabrics',
    }),
  ];
}
