import { cubic, line } from '../../src/geometry/path.js';
import type { GradedSize, SizeRange } from '../../src/grade/types.js';
import type { Consumption, Marker } from '../../src/lay/types.js';
import type { Edge, Pattern, Piece } from '../../src/pattern/model.js';
import type { ReportData } from '../../src/report/types.js';
import { basePieces, DAY, STYLE, sampleMarker, tubeMarker } from '../exchange/sample.js';

/** A report of a range and markers made by hand. */
export function sampleReport(over: Partial<ReportData> = {}): ReportData {
  const markers = [sampleMarker(), tubeMarker()].map(withSpare);
  const sizes = ['XS', 'S', 'M', 'L', 'XL', '2XL', '3XL'];
  return {
    style: STYLE,
    unit: 'in',
    date: DAY,
    range: sampleRange(sizes),
    chart: [
      chartRow('chest', 1040, 40, sizes),
      chartRow('body length', 680, 12, sizes, 1),
      chartRow('neck opening', 310, 0, sizes),
    ],
    truing: sizes.map((size, i) => ({
      size,
      seams: [
        seam('side', 420, 420, 0.1 * i),
        seam('shoulder', 123, 123, size === '3XL' ? 3.2 : 0.2),
        seam('cap', 520, 508, -0.3),
      ],
      joins: [
        {
          join: 'armhole across the shoulder',
          degrees: 0 - 0.6 * i,
          tolerance: 3,
          smooth: 0.6 * i <= 3,
          at: [],
        },
        { join: 'front hem at the fold', degrees: 0, tolerance: 3, smooth: true, at: [] },
      ],
    })),
    markers,
    consumption: markers.map(consumptionOf),
    plies: { main: 16, tube: 3 },
    pieces: basePieces(),
    warnings: ['Cap height falls from 2XL to 3XL'],
    fit: [
      {
        size: 'M',
        check: 'neck opening over the head',
        measured: 590,
        wanted: 'at least 22 in',
        within: true,
      },
      {
        size: 'XS',
        check: 'neck opening over the head',
        measured: 540,
        wanted: 'at least 22 in',
        within: false,
        advice: 'widen the neckline by 1/2 in',
      },
    ],
    files: [{ name: 'main.dxf', meaning: 'marker for the cutting table' }],
    ...over,
  };
}

/** Three percent of spare on every fabric. */
const withSpare = (marker: Marker): Marker => ({ ...marker, fabric: { ...marker.fabric, sparePercent: 3 } });

export function sampleRange(sizes: readonly string[]): SizeRange {
  return {
    base: 'M',
    sizes: sizes.map((size, i): GradedSize => {
      const steps = i - sizes.indexOf('M');
      const pattern: Pattern = {
        name: STYLE,
        pieces: [front(steps * 10, steps * 12)],
        seams: [],
        measures: [],
      };
      return { size, steps, growth: {}, pattern };
    }),
  };
}

/** Right half of a front, `wider` mm at the side and `longer` mm at the hem. */
function front(wider: number, longer: number): Piece {
  const edge = (name: string, from: string, to: string, path: Edge['path']): Edge => ({
    name,
    from,
    to,
    path,
  });
  const hem = -longer;
  return {
    name: 'front',
    edges: [
      edge('hem', 'centre hem', 'side hem', [line([0, hem], [262 + wider, hem])]),
      edge('side', 'side hem', 'underarm', [line([262 + wider, hem], [255 + wider, 420])]),
      edge('armhole', 'underarm', 'tip', [
        cubic([255 + wider, 420], [215 + wider, 440], [190 + wider / 2, 530], [205 + wider / 2, 640]),
      ]),
      edge('shoulder', 'tip', 'neck', [line([205 + wider / 2, 640], [85, 668])]),
      edge('neckline', 'neck', 'centre neck', [cubic([85, 668], [80, 600], [40, 575], [0, 575])]),
      edge('centre', 'centre neck', 'centre hem', [line([0, 575], [0, hem])]),
    ],
    fold: 'centre',
    grain: { from: [60, 60], to: [60, 500] },
    notches: [],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric: 'self',
  };
}

/** Consumption with an end allowance of 20 mm at each end and 1.5 % lost as the roll relaxes. */
function consumptionOf(marker: Marker): Consumption {
  const garments = Object.values(marker.ratio).reduce((sum, n) => sum + n, 0);
  const markerLength = marker.length / 1000;
  const plyLength = markerLength + 0.04;
  const rollLength = plyLength / (1 - 0.015);
  const area = rollLength * (marker.width / 1000) * marker.layers;
  const mass = (area * marker.fabric.gramsPerSquareMetre) / 1000;
  const cost = rollLength * (marker.fabric.pricePerMetre ?? 0);
  const share = (part: number) => ({
    length: rollLength * part,
    area: area * part,
    mass: mass * part,
    cost: cost * part,
  });
  return {
    marker: marker.name,
    fabric: marker.fabric.name,
    garments,
    markerLength,
    plyLength,
    rollLength,
    area,
    mass,
    cost,
    currency: 'EUR',
    efficiency: marker.efficiency,
    utilisation: (marker.efficiency * markerLength) / plyLength,
    perGarment: share(1 / garments),
    bySize: Object.entries(marker.ratio).map(([size, n]) => ({ size, garments: n, ...share(n / garments) })),
  };
}

function chartRow(measure: string, base: number, step: number, sizes: readonly string[], off = 0) {
  return {
    measure,
    tolerance: 0.5,
    cells: sizes.map((size, i) => {
      const expected = base + step * (i - sizes.indexOf('M'));
      const difference = size === 'XL' ? off : 0.04;
      return {
        size,
        measured: expected + difference,
        expected,
        difference,
        within: Math.abs(difference) <= 0.5,
      };
    }),
  };
}

const seam = (name: string, left: number, wanted: number, difference: number) => ({
  seam: name,
  left: wanted + difference,
  right: left,
  wanted,
  difference,
  tolerance: 0.7,
  matches: Math.abs(difference) <= 0.7,
});
