import type { Consumption } from '../lay/types.js';
import { cloth, mass, money, percent, plural, squareMetres } from './format.js';
import { type Html, html, list, type Part, table } from './html.js';
import { pliesOf, purchases } from './purchase.js';
import type { ReportData } from './types.js';

/** What to buy, per fabric. */
export function buySection(data: ReportData): Html {
  const bought = purchases(data);
  if (bought.length === 0) return html`<h2>What to buy</h2><p>No marker was laid.</p>`;
  const rows = bought.map((p): Part[] => [
    p.fabric,
    html`<span class="big">${cloth(p.length)}</span>`,
    squareMetres(p.area),
    mass(p.mass),
    money(p.cost, p.currency),
    plural(p.garments, 'garment'),
    String(p.plies),
  ]);
  const spare = data.sparePercent
    ? `${data.sparePercent} % spare is included.`
    : 'No spare is included: add what faults, splices and re-cuts need.';
  return html`<h2>What to buy</h2>
${table(
  [
    { head: 'Fabric' },
    { head: 'Length off the roll', numeric: true },
    { head: 'Area', numeric: true },
    { head: 'Weight', numeric: true },
    { head: 'Cost', numeric: true },
    { head: 'For', numeric: true },
    { head: 'Plies', numeric: true },
  ],
  rows,
)}
<p>${spare} Wash shrinkage is in the pieces already and is not added again.</p>`;
}

/** Fabric used per marker, garment and size, with the formulae. */
export function consumptionSection(data: ReportData): Html {
  return html`<h2>Fabric used</h2>
${perMarker(data)}
${perSize(data)}
<h3>How it is reckoned</h3>
${list([
  'Ply length (m) = marker length + the end allowance at both ends.',
  'Length off the roll (m) = ply length / (1 − share the roll loses when it relaxes before spreading).',
  'Area (m²) = length off the roll x full width (usable width where no other is given) x layers: a tube has two.',
  'Weight (kg) = area x g/m² / 1000.',
  'Cost = length x price per metre, or weight x price per kilogram, whichever the fabric states.',
  'Efficiency = area inside the cut lines / (marker length x usable width). Utilisation = the same area / (ply length x full width).',
  'Per garment = marker / garments in it. Per size: the marker is shared out in proportion to the area of the pieces of each size.',
  'What to buy = one ply x plies, summed over the markers of a fabric, + spare.',
])}`;
}

function perMarker(data: ReportData): Html {
  const rows = data.consumption.map((c): Part[] => [
    html`${c.marker}<br><small>${c.fabric}</small>`,
    cloth(c.markerLength),
    cloth(c.plyLength),
    cloth(c.rollLength),
    squareMetres(c.area),
    mass(c.mass),
    money(c.cost, c.currency),
    percent(c.efficiency),
    percent(c.utilisation),
    String(pliesOf(data, c.marker)),
  ]);
  const heads = [
    'Length',
    'Ply',
    'Off the roll',
    'Area',
    'Weight',
    'Cost',
    'Efficiency',
    'Utilisation',
    'Plies',
  ];
  return table(
    [{ head: 'Marker, one ply' }, ...heads.map((head) => ({ head, numeric: true }))],
    rows,
    'Per marker',
  );
}

function perSize(data: ReportData): Html {
  const each = (c: Consumption, name: Part, n: number, of: Consumption['perGarment']): Part[] => [
    c.marker,
    name,
    String(n),
    cloth(of.length),
    squareMetres(of.area),
    mass(of.mass),
    money(of.cost, c.currency),
  ];
  const rows = data.consumption.flatMap((c) => [
    ...c.bySize.map((s) => each(c, s.size, s.garments, perOne(s))),
    each(c, html`<b>average</b>`, c.garments, c.perGarment),
  ]);
  const heads = ['Garments', 'Length', 'Area', 'Weight', 'Cost'];
  return table(
    [{ head: 'Marker' }, { head: 'Size' }, ...heads.map((head) => ({ head, numeric: true }))],
    rows,
    'Per garment, by size',
  );
}

/** One garment's part of what its size uses. */
function perOne(size: Consumption['bySize'][number]): Consumption['perGarment'] {
  const n = Math.max(size.garments, 1);
  return {
    length: size.length / n,
    area: size.area / n,
    mass: size.mass / n,
    ...(size.cost === undefined ? {} : { cost: size.cost / n }),
  };
}
