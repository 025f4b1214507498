import type { Baseline, CostParts, CutPlan, FabricPlan, Lay, PlanMarker } from '../plan/types.js';
import type { Unit } from '../units.js';
import {
  type Block,
  bold,
  type Column,
  heading,
  list,
  numeric,
  paragraph,
  small,
  type Text,
  table,
} from './document.js';
import { cloth, money, percent, plural, ratioText } from './format.js';
import { fabricsOf, laysOf } from './laid.js';
import { modeName, spreadingOf } from './spreading.js';
import type { ReportData } from './types.js';

/** How to lay: the order, the lays with their plies, what the plan costs beside simpler ways. */
export function layBlocks(data: ReportData): Block[] {
  const { plan } = data;
  if (data.consumption.length === 0) return [];
  return [
    heading('How to lay'),
    ...(plan ? orderBlocks(plan) : []),
    ...(plan ? plan.fabrics.flatMap((f) => planLays(f, plan, data.unit)) : markerLays(data)),
    ...(plan ? costBlocks(plan) : []),
    ...spreadBlocks(data),
  ];
}

/** The order by size and colour; a cell says what is cut where that differs. */
function orderBlocks({ order, cut }: CutPlan): Block[] {
  const cellOf = (colour: string, size: string) =>
    order.cells.find((c) => c.colour === colour && c.size === size);
  const ordered = (colour: string, size: string) => cellOf(colour, size)?.ordered ?? 0;
  const cutOf = (colour: string, size: string) => cut[colour]?.[size] ?? 0;
  const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0);
  const both = (asked: number, done: number): Text =>
    asked === done ? String(asked) : [String(asked), small(`cut ${done}`)];
  const row = (name: Text, asked: readonly number[], done: readonly number[]): Text[] => [
    name,
    ...asked.map((n, i) => both(n, done[i]!)),
    both(sum(asked), sum(done)),
  ];
  const rows = order.colours.map((colour) =>
    row(
      colour,
      order.sizes.map((size) => ordered(colour, size)),
      order.sizes.map((size) => cutOf(colour, size)),
    ),
  );
  const all = row(
    'All colours',
    order.sizes.map((size) => sum(order.colours.map((colour) => ordered(colour, size)))),
    order.sizes.map((size) => sum(order.colours.map((colour) => cutOf(colour, size)))),
  );
  const total = order.colours.length > 1;
  return [
    table([{ head: 'Colour' }, ...numeric(...order.sizes, 'All sizes')], total ? [...rows, all] : rows, {
      caption: 'Order, garments by size and colour',
      total,
    }),
  ];
}

function planLays(plan: FabricPlan, { order }: CutPlan, unit: Unit): Block[] {
  const colours = order.colours.filter((c) => plan.lays.some((l) => l.plies.some((p) => p.colour === c)));
  const rows = plan.lays.map((lay): Text[] => {
    const marker = plan.markers.find((m) => m.name === lay.marker);
    return [
      String(lay.number),
      [lay.marker, ...(marker ? [small(ratioText(marker.ratio))] : [])],
      ...colours.map((c) => String(lay.plies.find((p) => p.colour === c)?.plies ?? 0)),
      String(lay.totalPlies),
      String(lay.thicknesses),
      lengthCell(lay.plyLength / 1000, unit),
      lengthCell((lay.plyLength / 1000) * lay.totalPlies, unit),
      String(garmentsOf(lay)),
    ];
  });
  const columns: Column[] = [
    { head: 'Lay' },
    { head: 'Marker, sizes' },
    ...numeric(...colours.map((c) => `Plies ${c}`), 'Plies', 'Thicknesses', 'Ply', 'Spread', 'Garments'),
  ];
  return [
    table(columns, rows, { caption: `Lays of ${plan.fabric.name}, ${modeName(plan.fabric.mode)}` }),
    ...(plan.source === 'modelled'
      ? [
          paragraph(
            `Lengths of ${plan.fabric.name} are reckoned from areas and were not nested${bandText(plan.markers)}: nest the markers before you buy.`,
            'warn',
          ),
        ]
      : []),
  ];
}

function bandText(markers: readonly PlanMarker[]): string {
  const widest = Math.max(0, ...markers.map((m) => m.band ?? 0));
  return widest > 0 ? ` (up to ± ${percent(widest)})` : '';
}

const lengthCell = (metres: number, unit: Unit): Text => {
  const text = cloth(metres, unit);
  const at = text.indexOf(' (');
  return at < 0 ? text : [text.slice(0, at), small(text.slice(at + 2, -1))];
};

const garmentsOf = (lay: Lay): number =>
  Object.values(lay.garments)
    .flatMap((sizes) => Object.values(sizes))
    .reduce((a, b) => a + b, 0);

/** Without a plan: one lay of every marker. */
function markerLays(data: ReportData): Block[] {
  const rows = laysOf(data).map((lay): Text[] => {
    const marker = data.markers.find((m) => m.name === lay.marker);
    const used = data.consumption.find((c) => c.marker === lay.marker)!;
    return [
      String(lay.number),
      [lay.marker, ...(marker ? [small(ratioText(marker.ratio))] : [])],
      lay.fabric,
      String(lay.total),
      String(lay.total * (marker?.layers ?? 1)),
      lengthCell(used.plyLength, data.unit),
      lengthCell(used.plyLength * lay.total, data.unit),
      String(used.garments * lay.total),
    ];
  });
  return [
    table(
      [
        { head: 'Lay' },
        { head: 'Marker, sizes' },
        { head: 'Fabric' },
        ...numeric('Plies', 'Thicknesses', 'Ply', 'Spread', 'Garments'),
      ],
      rows,
    ),
    ...(data.plies === undefined
      ? [
          paragraph(
            "One ply of every marker is shown. The plies of an order come from its cut plan ('plan'), or state them ('report --plies').",
          ),
        ]
      : []),
  ];
}

const NAMES: Readonly<Record<Baseline['name'], string>> = {
  'one size per marker': 'One size per marker',
  'one marker for all sizes': 'One marker for all sizes',
};

/** The plan beside simpler ways to cut the same order, priced alike. */
function costBlocks(plan: CutPlan): Block[] {
  const short = plan.fabrics.some((f) =>
    [f.cost, ...f.baselines.flatMap((b) => b.result?.cost ?? [])].some((c) => c.short > 0),
  );
  const unpriced = plan.fabrics
    .map((f) => f.fabric)
    .filter((f) => f.pricePerMetre === undefined && f.pricePerKilogram === undefined)
    .map((f) => f.name);
  const cells = (cost: CostParts) =>
    [cost.fabric, cost.spreading, cost.markers, cost.cutting, cost.lays, ...(short ? [cost.short] : [])].map(
      (n) => n.toFixed(2),
    );
  const blocks = plan.fabrics.flatMap((f): Block[] => {
    const own: Text[] = [
      bold('This plan'),
      String(f.markers.length),
      String(f.lays.length),
      `${f.cloth.metres.toFixed(2)} m`,
      ...cells(f.cost),
      [bold(f.cost.total.toFixed(2))],
    ];
    const others = f.baselines.map((b): Text[] => baselineRow(b, f, cells));
    return [
      table(
        [
          { head: `Costs in ${plan.currency}` },
          ...numeric(
            'Markers',
            'Lays',
            'Off the roll',
            'Cloth',
            'Spreading',
            'Marker making',
            'Cutting',
            'Setting up',
            ...(short ? ['Left out'] : []),
            'Total',
          ),
        ],
        [own, ...others],
        { caption: `What the lays of ${f.fabric.name} cost` },
      ),
    ];
  });
  return [
    heading('What it costs', 3),
    paragraph([
      bold(money(plan.cost.total, plan.currency)),
      ` for ${plural(plan.garments, 'garment')}, `,
      bold(money(plan.costPerGarment, plan.currency)),
      ' each: cloth off the roll, spreading, markers and cutting. Spare cloth and rounding up to what is sold are in What to buy.',
      ...(unpriced.length > 0 ? [` ${unpriced.join(', ')} without a price: counted at no cost.`] : []),
    ]),
    ...blocks,
    list(plan.fabrics.map((f) => solverText(f, plan.currency))),
  ];
}

function baselineRow(
  { name, result, why }: Baseline,
  own: FabricPlan,
  cells: (cost: CostParts) => string[],
): Text[] {
  if (!result) return [[NAMES[name], small(why ?? 'cannot be done within the limits')]];
  const more = result.cost.total - own.cost.total;
  const share =
    own.cost.total > 0 ? `${more >= 0 ? '+' : '−'}${percent(Math.abs(more) / own.cost.total)}` : '';
  const notes = [
    share,
    result.source === 'modelled' ? 'lengths reckoned' : '',
    result.beyond > 0 ? `${plural(result.beyond, 'garment')} too many` : '',
  ].filter((n) => n !== '');
  return [
    [NAMES[name], ...(notes.length > 0 ? [small(notes.join(', '))] : [])],
    String(result.markers.length),
    String(result.lays),
    `${result.cloth.metres.toFixed(2)} m`,
    ...cells(result.cost),
    result.cost.total.toFixed(2),
  ];
}

function solverText({ fabric, solver, ended, rounds }: FabricPlan, currency: string): string {
  const bound =
    solver.bound === undefined
      ? 'no bound was found'
      : `${solver.bound.toFixed(2)} ${currency} is the bound of the priced model over the generated columns`;
  const all = solver.complete ? 'every ratio that the limits allow' : 'the ratios that were generated';
  const outcome = {
    agreed: 'solved again with the nested lengths, the same markers were chosen',
    'round limit': 'it was stopped before plan and nested lengths agreed',
    stopped: 'it was stopped by hand',
    'not nested': 'no marker was nested',
  }[ended];
  return `${fabric.name}: the priced model comes to ${solver.value.toFixed(2)} ${currency}; ${bound}, over ${plural(solver.columns, 'size ratio')} (${all}). It is no bound of the real problem. ${plural(rounds, 'round')}: ${outcome}.`;
}

/** How every fabric is spread, once each. */
function spreadBlocks(data: ReportData): Block[] {
  return [heading('Spreading', 3), list(fabricsOf(data).map((f) => [bold(`${f.name}. `), spreadingOf(f)]))];
}
