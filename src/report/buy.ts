import type { Purchase } from '../lay/purchase.js';
import type { RollPlan } from '../lay/purchase-rolls.js';
import type { Unit } from '../units.js';
import {
  type Block,
  big,
  bold,
  heading,
  list,
  numeric,
  paragraph,
  small,
  type Text,
  table,
} from './document.js';
import { cloth, clothUp, mass, massUp, money, percent, plural, squareMetres, yards } from './format.js';
import { fabricsOf, purchases } from './laid.js';
import type { ReportData } from './types.js';

/** What to buy, per fabric and colour, and how it comes about. */
export function buyBlocks(data: ReportData): Block[] {
  const bought = purchases(data);
  if (bought.length === 0) return [heading('What to buy'), paragraph('No marker was laid.')];
  const { unit } = data;
  const colours = bought.some((p) => p.colour !== undefined);
  const rows = bought.map((p): Text[] => [
    p.fabric,
    ...(colours ? [p.colour ?? ''] : []),
    amountText(p, data),
    squareMetres(p.bought.area),
    massUp(p.bought.mass),
    money(p.bought.cost, p.currency),
    plural(p.garments, 'garment'),
    p.bought.cost === undefined ? '' : money(p.bought.cost / p.garments, p.currency),
  ]);
  const reckoned = data.plan?.fabrics.filter((f) => f.source === 'modelled').map((f) => f.fabric.name) ?? [];
  return [
    heading('What to buy'),
    ...(reckoned.length > 0
      ? [
          paragraph(
            `The lengths of ${reckoned.join(' and ')} are reckoned, not nested: the figures are estimates. See How to lay.`,
            'warn',
          ),
        ]
      : []),
    table(
      [
        { head: 'Fabric' },
        ...(colours ? [{ head: 'Colour' }] : []),
        ...numeric('Buy', 'Area', 'Weight', 'Cost', 'For', 'Cost a garment'),
      ],
      rows,
    ),
    ...totalCost(bought),
    paragraph(spareText(data, bought)),
    ...wayTable(bought, unit, colours),
    ...estimateTable(data, bought),
    ...rollTable(bought, unit),
    ...bought.flatMap((p) => (p.rollFault ? [paragraph(`${named(p)}: ${p.rollFault}.`, 'warn')] : [])),
  ];
}

/** Rolls, kilograms or metres: what the cloth is sold by, and its length below where that is another. */
function amountText(p: Purchase, data: ReportData): Text {
  const { unit } = data;
  if (p.rolls) {
    const { rolls, rollLength } = p.rolls;
    return [
      big(plural(rolls, 'roll')),
      small(`of ${rollLength.toFixed(1)} m: ${clothUp(p.bought.length, unit)}`),
    ];
  }
  const fabric = fabricsOf(data).find((f) => f.name === p.fabric);
  if (fabric?.pricePerMetre === undefined && fabric?.pricePerKilogram !== undefined) {
    return [big(massUp(p.bought.mass)), small(`about ${clothUp(p.bought.length, unit)}`)];
  }
  return big(clothUp(p.bought.length, unit));
}

function totalCost(bought: readonly Purchase[]): Block[] {
  const costs = bought.map((p) => p.bought.cost);
  const currencies = new Set(bought.map((p) => p.currency));
  if (bought.length < 2 || currencies.size > 1 || costs.some((c) => c === undefined)) return [];
  const total = costs.reduce<number>((sum, c) => sum + c!, 0);
  return [paragraph(['All cloth together: ', bold(money(total, bought[0]!.currency)), '.'])];
}

function spareText(data: ReportData, bought: readonly Purchase[]): string {
  const names = [...new Set(bought.map((p) => p.fabric))];
  const spares = names.map(
    (name) => [name, fabricsOf(data).find((f) => f.name === name)?.sparePercent ?? 0] as const,
  );
  const without = spares.filter(([, s]) => s === 0).map(([name]) => name);
  const withSpare = spares.filter(([, s]) => s > 0).map(([name, s]) => `${s} % for ${name}`);
  return [
    'Amounts to buy are rounded up: metres and kilograms to 0.1, yards to 0.1, rolls to whole ones, money to 0.01.',
    withSpare.length > 0 ? `Spare is included: ${withSpare.join(', ')}.` : '',
    without.length > 0
      ? `No spare is included for ${without.join(', ')}: add what faults and re-cuts need, or give the fabric a 'spare'.`
      : '',
    'Wash shrinkage is in the pieces already and is not added again.',
  ]
    .filter((part) => part !== '')
    .join(' ');
}

/** Estimate against invoice: every step between the pieces and what is paid for. */
function wayTable(bought: readonly Purchase[], unit: Unit, colours: boolean): Block[] {
  const cell = (metres: number): Text =>
    unit === 'in' ? [`${metres.toFixed(2)} m`, small(yards(metres))] : `${metres.toFixed(2)} m`;
  const rows = bought.map((p): Text[] => [
    p.fabric,
    ...(colours ? [p.colour ?? ''] : []),
    squareMetres(p.pieces),
    cell(p.markers.length),
    cell(p.spread.length),
    cell(p.drawn.length),
    cell(p.needed.length),
    cell(p.bought.length),
    mass(p.drawn.mass),
    percent(p.pieces / p.bought.area),
  ]);
  return [
    heading('From the pieces to the invoice', 3),
    table(
      [
        { head: 'Fabric' },
        ...(colours ? [{ head: 'Colour' }] : []),
        ...numeric(
          'Pieces',
          'Markers',
          'Spread',
          'Off the roll',
          'With spare',
          'Bought',
          'Weight off the roll',
          'In pieces',
        ),
      ],
      rows,
    ),
    paragraph(
      'Spread: with the end allowances of every ply. Off the roll: before it relaxed. With spare: splices too, where rolls are spliced. In pieces: the share of the bought cloth that ends up inside a cut line.',
    ),
  ];
}

/** What was reckoned before anything was laid, beside what is drawn off the rolls. */
function estimateTable({ estimates = [], unit }: ReportData, bought: readonly Purchase[]): Block[] {
  if (estimates.length === 0) return [];
  const rows = estimates.map((e): Text[] => {
    const drawn = bought
      .filter((p) => p.fabric === e.fabric)
      .reduce((sum, p) => ({ length: sum.length + p.drawn.length, mass: sum.mass + p.drawn.mass }), {
        length: 0,
        mass: 0,
      });
    return [
      e.fabric,
      [cloth(e.cloth.metres, unit), small(`± ${percent(e.band)}`)],
      mass(e.cloth.kilograms),
      [mass(e.rectangles.kilograms), small(`with ${e.rectangles.wastage} % waste`)],
      cloth(drawn.length, unit),
      mass(drawn.mass),
    ];
  });
  return [
    table(
      [{ head: 'Fabric' }, ...numeric('Estimate', 'Weight', 'Rectangles', 'Off the roll', 'Weight')],
      rows,
      { caption: 'Estimates made before anything was laid' },
    ),
    paragraph(
      `The estimate is made from the areas of the pieces and ${plural(estimates[0]!.nests, 'marker')} laid before; nine in ten such orders lie within its band. Rectangles: every piece in the rectangle around it, as course notes reckon.`,
    ),
  ];
}

function rollTable(bought: readonly Purchase[], unit: Unit): Block[] {
  const byRolls = bought.flatMap((p) => (p.rolls ? [{ p, rolls: p.rolls }] : []));
  if (byRolls.length === 0) return [];
  const rows = byRolls.flatMap(({ p, rolls }) => rollRows(p, rolls, unit));
  return [
    heading('Roll by roll', 3),
    table(
      [
        { head: 'Fabric' },
        ...numeric('Rolls', 'Roll', 'Counted on'),
        { head: 'Plies from one roll' },
        ...numeric('Left on each'),
      ],
      rows,
    ),
    list([
      'Plies are drawn one after another, the longest marker first. What is left of a roll and holds no further whole ply stays over: use it for re-cuts, bands and samples.',
      ...byRolls.map(
        ({ p, rolls }) =>
          `${named(p)}: ${plural(rolls.rolls, 'roll')}, ${cloth(rolls.remnants, unit)} left in all${
            rolls.splices > 0
              ? `, ${plural(rolls.splices, 'splice')} that ${rolls.splices === 1 ? 'loses' : 'lose'} ${cloth(rolls.spliceLoss, unit)}`
              : ''
          }.`,
      ),
    ]),
  ];
}

const named = (p: Purchase): string => (p.colour === undefined ? p.fabric : `${p.fabric}, ${p.colour}`);

const rollRows = (p: Purchase, rolls: RollPlan, unit: Unit): Text[][] =>
  rolls.use.map((use, i) => [
    i === 0 ? named(p) : '',
    String(use.rolls),
    cloth(rolls.rollLength, unit),
    cloth(rolls.counted, unit),
    `${use.plies.map(({ marker, plies }) => `${plies} x ${marker}`).join(', ') || 'a part of a ply'}${use.spliced ? ', then a splice' : ''}`,
    cloth(use.remnant, unit),
  ]);
