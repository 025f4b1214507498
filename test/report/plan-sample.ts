import { consumption } from '../../src/lay/consumption.js';
import type { Marker } from '../../src/lay/types.js';
import type { CostParts, CutPlan, FabricPlan, Lay, PlanMarker } from '../../src/plan/types.js';

const cost = (
  fabric: number,
  spreading: number,
  markers: number,
  cutting: number,
  lays: number,
): CostParts => ({
  fabric,
  spreading,
  markers,
  cutting,
  lays,
  short: 0,
  total: fabric + spreading + markers + cutting + lays,
});

/** A plan made by hand: the sample marker (S x 1, M x 2) in two colours, two lays, with one way refused. */
export function samplePlan(marker: Marker): CutPlan {
  const used = consumption(marker);
  const lay = (number: number, rust: number, slate: number): Lay => ({
    number,
    fabric: marker.fabric.name,
    marker: marker.name,
    plies: [
      { colour: 'rust', plies: rust },
      { colour: 'slate', plies: slate },
    ].filter((p) => p.plies > 0),
    totalPlies: rust + slate,
    thicknesses: (rust + slate) * marker.layers,
    garments: {
      rust: { S: rust, M: 2 * rust },
      slate: { S: slate, M: 2 * slate },
    },
    plyLength: used.plyLength * 1000,
  });
  const planned: PlanMarker = {
    name: marker.name,
    fabric: marker.fabric.name,
    ratio: marker.ratio,
    garments: 3,
    pieces: marker.pieces.length,
    length: marker.length,
    source: 'nested',
    efficiency: marker.efficiency,
    cutLength: 30_000,
    plies: { rust: 12, slate: 5 },
    totalPlies: 17,
    lays: 2,
    marker,
  };
  const cloth = { metres: 17 * used.rollLength, squareMetres: 17 * used.area, kilograms: 17 * used.mass };
  const total = cost(17 * (used.cost ?? 0), 8, 12, 6.5, 10);
  const fabric: FabricPlan = {
    fabric: marker.fabric,
    limits: { thicknesses: 12, garments: 3 },
    markers: [planned],
    lays: [lay(1, 7, 5), lay(2, 5, 0)],
    cut: { rust: { S: 12, M: 24 }, slate: { S: 5, M: 10 } },
    cloth,
    clothByColour: {},
    cost: total,
    baselines: [
      {
        name: 'one size per marker',
        result: {
          markers: [planned, planned],
          lays: 4,
          cloth: { ...cloth, metres: cloth.metres * 1.1 },
          cost: cost(total.fabric * 1.1, 10, 24, 12, 20),
          garments: 51,
          beyond: 2,
          source: 'modelled',
        },
      },
      { name: 'one marker for all sizes', why: 'the table is too short' },
    ],
    solver: {
      status: 'gap reached',
      value: total.total,
      bound: total.total * 0.98,
      columns: 41,
      complete: true,
      nodes: 7,
    },
    rounds: 2,
    ended: 'agreed',
    source: 'nested',
  };
  const cell = (colour: string, size: string, ordered: number) => ({
    colour,
    size,
    ordered,
    least: ordered,
    most: ordered + 2,
  });
  return {
    style: marker.style,
    currency: 'EUR',
    order: {
      sizes: ['S', 'M'],
      colours: ['rust', 'slate'],
      cells: [cell('rust', 'S', 12), cell('rust', 'M', 23), cell('slate', 'S', 5), cell('slate', 'M', 10)],
    },
    rates: { spreadingPerPly: 0, spreadingPerMetre: 0, marker: 12, cuttingPerMetre: 0.1, lay: 5 },
    fabrics: [fabric],
    cut: fabric.cut,
    garments: 51,
    cost: total,
    costPerGarment: total.total / 51,
  };
}
