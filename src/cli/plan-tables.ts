import { csv } from '../exchange/csv.js';
import type { Purchase } from '../lay/purchase.js';
import {
  type Baseline,
  COST_DEFAULTS,
  type CostParts,
  type CostRates,
  type CutPlan,
  type FabricPlan,
  type OnHand,
  type Order,
  type PlanMarker,
  type Quantities,
  type QuickEstimate,
  totalOf,
} from '../plan/index.js';
import { money, percent, plural } from '../report/format.js';
import { formatLength, type Unit } from '../units.js';
import { clothLength } from './laying.js';
import { table } from './output.js';

const metres = (m: number, unit: Unit): string => clothLength(m * 1000, unit);
const kilograms = (kg: number): string => `${kg.toFixed(2)} kg`;

/** Cloth and cost before anything is laid, with the band and the rectangle method beside it. */
export function estimateText(order: Order, estimates: readonly QuickEstimate[], unit: Unit): string {
  const garments = order.cells.reduce((sum, cell) => sum + cell.ordered, 0);
  const head = [
    'fabric',
    'markers of',
    'efficiency',
    'cloth',
    'mass',
    'cost',
    'per garment',
    'band',
    'rectangles',
  ];
  const rows = estimates.map((e) => [
    e.fabric,
    plural(e.marker.garments, 'garment'),
    percent(e.efficiency),
    metres(e.cloth.metres, unit),
    kilograms(e.cloth.kilograms),
    money(e.cost, e.currency),
    metres(e.metresPerGarment, unit),
    `+-${percent(e.band)}`,
    kilograms(e.rectangles.kilograms),
  ]);
  const nests = estimates[0]?.nests ?? 0;
  return [
    `estimate for ${plural(garments, 'garment')} before anything is laid`,
    table(head, rows),
    `band: nine in ten such orders, learned from ${plural(nests, 'marker')} laid before; rectangles: each piece in the rectangle around it, + ${estimates[0]?.rectangles.wastage ?? 0} % waste`,
  ].join('\n');
}

/** A whole plan as tables. */
export function planText(plan: CutPlan, unit: Unit): string {
  const { order, cut, cost, currency } = plan;
  const lines = [
    `plan for ${plan.style}: ${plural(plan.garments, 'garment')} of ${order.cells.reduce((sum, c) => sum + c.ordered, 0)} ordered`,
    cutTable(order, cut),
    ...plan.fabrics.flatMap((fabric) => ['', ...fabricLines(fabric, plan, unit)]),
    '',
    `total ${money(cost.total, currency)}: ${costLine(cost, currency)}`,
    `per garment ${money(plan.costPerGarment, currency)}`,
    ...ratesNote(plan),
  ];
  return lines.join('\n');
}

/** Says so where the style prices no work: the plan then rests on rates that nobody checked. */
function ratesNote({ rates, currency }: CutPlan): string[] {
  const own = Object.entries(COST_DEFAULTS).every(([name, rate]) => rates[name as keyof CostRates] === rate);
  if (!own) return [];
  const { spreadingPerPly, spreadingPerMetre, marker, cuttingPerMetre, lay } = COST_DEFAULTS;
  return [
    `work is priced at assumed rates, in ${currency}: a ply ${spreadingPerPly}, a metre spread ${spreadingPerMetre}, a metre cut ${cuttingPerMetre}, a marker ${marker}, a lay ${lay}; write your own as 'cost:' into the style`,
  ];
}

/** What to buy for a plan, rounded up: with the spare, and in whole rolls where the fabric states them. */
export function buyText(bought: readonly Purchase[], unit: Unit): string {
  const rows = bought.map((p) => [
    p.fabric,
    p.colour ?? '',
    metres(p.bought.length, unit),
    p.rolls ? `${plural(p.rolls.rolls, 'roll')} of ${metres(p.rolls.rollLength, unit)}` : '',
    kilograms(p.bought.mass),
    p.bought.cost === undefined ? '' : money(p.bought.cost, p.currency),
  ]);
  return [
    'to buy, with spare, rounded up, in whole rolls where the fabric has them; the costs above are of the cloth laid',
    table(['fabric', 'colour', 'length', 'rolls', 'mass', 'cost'], rows),
    ...bought.flatMap((p) => (p.rollFault ? [`${p.fabric} ${p.colour ?? ''}: ${p.rollFault}`] : [])),
  ].join('\n');
}

function cutTable(order: Order, cut: Quantities): string {
  const rows = order.colours.map((colour) => [
    colour,
    ...order.sizes.map((size) => {
      const cell = order.cells.find((c) => c.colour === colour && c.size === size);
      const n = cut[colour]?.[size] ?? 0;
      return cell && cell.ordered !== n ? `${n} (${cell.ordered} ordered)` : String(n);
    }),
    String(Object.values(cut[colour] ?? {}).reduce((a, b) => a + b, 0)),
  ]);
  return table(['garments cut', ...order.sizes, 'together'], rows);
}

function fabricLines(plan: FabricPlan, { order, currency }: CutPlan, unit: Unit): string[] {
  const { fabric, limits, solver } = plan;
  const colours = order.colours.filter((colour) => plan.markers.some((m) => m.plies[colour]));
  const thick = plan.lays.some((lay) => lay.thicknesses !== lay.totalPlies);
  const limit = [
    `stacks up to ${plural(limits.thicknesses, 'thickness').replace('thicknesss', 'thicknesses')}`,
    `up to ${plural(limits.garments, 'garment')} a marker`,
    ...(limits.pieces === undefined ? [] : [`up to ${plural(limits.pieces, 'piece')} a marker`]),
    ...(limits.tableLength === undefined ? [] : [`table ${metres(limits.tableLength / 1000, unit)}`]),
  ];
  const markers = plan.markers.map((m) => markerRow(m, colours, unit));
  const lays = plan.lays.map((lay) => [
    String(lay.number),
    lay.marker,
    ...colours.map((colour) => String(lay.plies.find((p) => p.colour === colour)?.plies ?? '')),
    String(lay.totalPlies),
    ...(thick ? [String(lay.thicknesses)] : []),
    metres(lay.plyLength / 1000, unit),
    String(totalOf(lay.garments)),
  ]);
  return [
    `${fabric.name}: ${fabric.description}, ${formatLength(fabric.usableWidth, unit)} wide; ${limit.join(', ')}`,
    table(
      ['marker', 'garments', 'length', 'efficiency', ...colours.map((c) => `${c} plies`), 'lays'],
      markers,
    ),
    table(
      ['lay', 'marker', ...colours, 'plies', ...(thick ? ['thick'] : []), 'ply length', 'garments'],
      lays,
    ),
    `cloth off the roll ${metres(plan.cloth.metres, unit)}, ${kilograms(plan.cloth.kilograms)}: ${colours
      .map((colour) => `${colour} ${metres(plan.clothByColour[colour]!.metres, unit)}`)
      .join(', ')}`,
    `cost ${money(plan.cost.total, currency)}: ${costLine(plan.cost, currency)}`,
    table(
      ['way to cut it', 'markers', 'lays', 'cloth', 'cost', 'against the plan', 'note'],
      [
        [
          'this plan',
          String(plan.markers.length),
          String(plan.lays.length),
          metres(plan.cloth.metres, unit),
          money(plan.cost.total, currency),
          '',
          sourceNote(plan.source, plan.markers),
        ],
        ...plan.baselines.map((baseline) => baselineRow(baseline, plan, currency, unit)),
      ],
    ),
    solverLine(plan, currency),
    endLine(plan),
    ...(solver.status === 'time limit'
      ? ['the time limit of the program was reached: a faster machine may find another plan']
      : []),
  ];
}

const markerRow = (m: PlanMarker, colours: readonly string[], unit: Unit): string[] => [
  m.name,
  String(m.garments),
  `${metres(m.length / 1000, unit)}${m.source === 'modelled' ? ` +-${percent(m.band ?? 0)}` : ''}`,
  percent(m.efficiency),
  ...colours.map((colour) => String(m.plies[colour] ?? '')),
  String(m.lays),
];

function baselineRow(
  { name, result, why }: Baseline,
  plan: FabricPlan,
  currency: string,
  unit: Unit,
): string[] {
  if (!result) return [name, '', '', '', '', '', why ?? ''];
  const more = result.cost.total / plan.cost.total - 1;
  const beyond = result.beyond > 0 ? `${plural(result.beyond, 'garment')} beyond what is allowed; ` : '';
  return [
    name,
    String(result.markers.length),
    String(result.lays),
    metres(result.cloth.metres, unit),
    money(result.cost.total, currency),
    `${more >= 0 ? '+' : ''}${(100 * more).toFixed(1)} %`,
    `${beyond}${sourceNote(result.source, result.markers)}`,
  ];
}

function sourceNote(source: 'nested' | 'modelled', markers: readonly PlanMarker[]): string {
  if (source === 'nested') return 'all markers laid';
  const bands = markers.map((m) => m.band ?? 0);
  return `lengths reckoned, +-${percent(Math.max(...bands))}`;
}

/** Says what the bound is a bound of, and no more. */
function solverLine({ solver, cost }: FabricPlan, currency: string): string {
  const set = `${plural(solver.columns, 'size ratio')}${solver.complete ? ', all that the limits allow' : ''}`;
  const ended = `program ended: ${solver.status}, ${plural(solver.nodes, 'node')}, over ${set}`;
  if (solver.bound === undefined) return ended;
  const above = (solver.value / solver.bound - 1) * 100;
  const told =
    Math.abs(solver.value - cost.total) < 0.005 ? '' : ` (${money(solver.value, currency)} as priced)`;
  return `bound of the priced model over the generated columns ${money(solver.bound, currency)}; the plan${told} is ${above.toFixed(2)} % above it; ${ended}`;
}

function endLine({ ended, rounds }: FabricPlan): string {
  const times = `planned ${plural(rounds, 'time')}`;
  switch (ended) {
    case 'agreed':
      return `${times}: plan and laid markers agree`;
    case 'round limit':
      return `${times}, the limit of rounds: the cheapest plan of laid markers so far; --rounds gives more`;
    case 'stopped':
      return `${times}, then stopped: the best plan so far`;
    case 'not nested':
      return 'no marker was laid: lengths are reckoned';
  }
}

function costLine(cost: CostParts, currency: string): string {
  const parts: readonly (readonly [string, number])[] = [
    ['cloth', cost.fabric],
    ['spreading', cost.spreading],
    ['markers', cost.markers],
    ['cutting', cost.cutting],
    ['setting up lays', cost.lays],
    ['garments left out', cost.short],
  ];
  return parts
    .filter(([name, amount]) => name !== 'garments left out' || amount > 0)
    .map(([name, amount]) => `${name} ${money(amount, currency)}`)
    .join(', ');
}

/** What rolls on hand give, how they are cut, and what is missing. */
export function onHandText(order: Order, found: OnHand, unit: Unit): string {
  const quantityTable = (head: string, all: Quantities) =>
    table(
      [head, ...order.sizes, 'together'],
      order.colours.map((colour) => [
        colour,
        ...order.sizes.map((size) => String(all[colour]?.[size] ?? 0)),
        String(Object.values(all[colour] ?? {}).reduce((a, b) => a + b, 0)),
      ]),
    );
  const uses = found.uses.flatMap(({ stock, markers, used }) => {
    const roll = `${stock.fabric} ${stock.colour} ${metres(stock.metres, unit)}${stock.width === undefined ? '' : ` at ${formatLength(stock.width, unit)}`}`;
    if (markers.length === 0) return [[roll, 'not cut', '', '', metres(stock.metres, unit)]];
    return markers.map((m, i) => [
      i === 0 ? roll : '',
      m.name,
      String(m.plies),
      `${metres(m.metres, unit)}${m.source === 'modelled' ? ` +-${percent(m.band ?? 0)}` : ''}`,
      i === 0 ? metres(stock.metres - used, unit) : '',
    ]);
  });
  const missing = found.missing.map((m) => `${m.fabric} ${m.colour} ${metres(m.metres, unit)}`);
  return [
    `from the cloth on hand ${plural(totalOf(found.cut), 'garment')}, each size within one garment of the ordered ratio`,
    quantityTable('cut', found.cut),
    quantityTable('left of the order', found.shortfall),
    table(['roll', 'marker', 'plies', 'off the roll, a ply', 'remains'], uses),
    missing.length > 0 ? `to get for the rest: ${missing.join(', ')}` : 'nothing is missing',
    ...(found.assumed.length > 0 ? [`taken to be there as needed: ${found.assumed.join(', ')}`] : []),
    ...(found.source === 'modelled' ? ['lengths are reckoned: keep the band in mind'] : []),
    found.proven
      ? 'no more garments are possible with the size ratios looked at and these lengths'
      : 'the program was stopped early: more garments may be possible',
  ].join('\n');
}

/** One row per lay, colour and size. */
export function laysCsv(plan: CutPlan): string {
  const head = ['lay', 'fabric', 'marker', 'colour', 'plies', 'ply length m', 'size', 'garments'];
  const rows = plan.fabrics.flatMap((fabric) =>
    fabric.lays.flatMap((lay) =>
      lay.plies.flatMap(({ colour, plies }) =>
        Object.entries(lay.garments[colour] ?? {}).map(([size, garments]) => [
          lay.number,
          lay.fabric,
          lay.marker,
          colour,
          plies,
          lay.plyLength / 1000,
          size,
          garments,
        ]),
      ),
    ),
  );
  return csv([head, ...rows]);
}
