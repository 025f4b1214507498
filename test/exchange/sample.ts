import type { CutNotch, CutPiece } from '../../src/finish/types.js';
import { intersection, offset } from '../../src/geometry/clip.js';
import { cubic, flatten, line, type Path } from '../../src/geometry/path.js';
import { area, bounds, counterClockwise, type Polygon } from '../../src/geometry/polygon.js';
import { perp, scale, sub, unit, type Vec } from '../../src/geometry/vec.js';
import { toMarker } from '../../src/lay/frame.js';
import { spreadOf } from '../../src/lay/spread.js';
import type { Fabric, Marker, PlacedPiece } from '../../src/lay/types.js';

/** Pieces and markers made by hand: three curved pieces in two sizes, laid in rows. */

export const STYLE = 'Harbour crew';
export const DAY = new Date('2025-03-14T00:00:00Z');

export const TERRY: Fabric = {
  name: 'terry',
  description: 'French terry 280 g/m², open width',
  usableWidth: 1650,
  gramsPerSquareMetre: 280,
  pricePerMetre: 11.5,
  currency: 'EUR',
  shrinkage: { walewise: 4, coursewise: 3 },
  relaxationLoss: 1.5,
  orientation: 'one-way',
  mode: 'single',
};

/** A body cut on the fold (x = 0), drawn opened. */
export function bodyPiece(size: string, k = 1): CutPiece {
  const right: Path = [
    line([0, 0], [262 * k, 0]),
    line([262 * k, 0], [255 * k, 420 * k]),
    cubic([255 * k, 420 * k], [215 * k, 440 * k], [190 * k, 530 * k], [205 * k, 640 * k]),
    line([205 * k, 640 * k], [85 * k, 668 * k]),
    cubic([85 * k, 668 * k], [80 * k, 600 * k], [40 * k, 575 * k], [0, 575 * k]),
  ];
  const half = flatten(right, 0.1);
  const sew = [
    ...half,
    ...half
      .slice(1, -1)
      .reverse()
      .map(([x, y]): Vec => [-x, y]),
  ];
  const cut = cutLine(sew);
  return {
    name: 'front',
    size,
    fabric: 'self',
    counts: { asDrawn: 1, mirrored: 0 },
    cut,
    sew,
    half: { cut: rightHalf(cut), foldX: 0 },
    notches: [
      notch('side', 'single', cut, [272 * k, 210 * k]),
      notch('side, left', 'single', cut, [-272 * k, 210 * k]),
      notch('armhole', 'double', cut, [200 * k, 520 * k]),
      notch('armhole, left', 'double', cut, [-200 * k, 520 * k]),
    ],
    grain: { from: [0, 60 * k], to: [0, 520 * k] },
    stretch: { along: 'course', percent: 30 },
    internals: [
      {
        name: 'pocket line',
        points: [
          [-70 * k, 420 * k],
          [70 * k, 420 * k],
        ],
      },
    ],
    label: { at: [0, 280 * k], radius: 240 * k },
  };
}

/** A sleeve, not symmetric: one as drawn, one mirrored. */
export function sleevePiece(size: string, k = 1): CutPiece {
  const outline: Path = [
    line([-95 * k, 0], [95 * k, 0]),
    line([95 * k, 0], [190 * k, 430 * k]),
    cubic([190 * k, 430 * k], [140 * k, 445 * k], [90 * k, 560 * k], [0, 560 * k]),
    cubic([0, 560 * k], [-80 * k, 560 * k], [-150 * k, 460 * k], [-190 * k, 430 * k]),
    line([-190 * k, 430 * k], [-95 * k, 0]),
  ];
  const sew = flatten(outline, 0.1).slice(0, -1);
  const cut = cutLine(sew);
  return {
    name: 'sleeve',
    size,
    fabric: 'self',
    counts: { asDrawn: 1, mirrored: 1 },
    cut,
    sew,
    notches: [notch('crown', 'single', cut, [0, 572 * k]), notch('back', 'double', cut, [-120 * k, 500 * k])],
    grain: { from: [0, 60 * k], to: [0, 500 * k] },
    internals: [],
    label: { at: [0, 330 * k], radius: 150 * k },
  };
}

/** A neckband, its length along the courses. */
export function bandPiece(size: string, k = 1): CutPiece {
  const sew: Polygon = [
    [0, 0],
    [440 * k, 0],
    [440 * k, 50],
    [0, 50],
  ];
  const cut = cutLine(sew);
  return {
    name: 'neckband',
    size,
    fabric: 'self',
    counts: { asDrawn: 1, mirrored: 0 },
    cut,
    sew,
    notches: [notch('centre front', 'single', cut, [220 * k, 60])],
    grain: { from: [220 * k, 5], to: [220 * k, 45] },
    internals: [],
    label: { at: [220 * k, 25], radius: 34 },
  };
}

export const basePieces = (): CutPiece[] => [bodyPiece('M'), sleevePiece('M'), bandPiece('M')];

/** Twelve pieces (M twice, S once) in rows; `repeats` such groups one after another make a long marker. */
export function sampleMarker(options: { repeats?: number; over?: Partial<Marker> } = {}): Marker {
  const pieces: PlacedPiece[] = [];
  const gap = 2;
  let x = 15;
  for (let r = 0; r < (options.repeats ?? 1); r++) {
    for (const [garment, size, k] of [
      [`M-${2 * r + 1}`, 'M', 1],
      [`M-${2 * r + 2}`, 'M', 1],
      [`S-${r + 1}`, 'S', 0.95],
    ] as const) {
      let y = 15;
      let depth = 0;
      for (const [piece, mirrored] of [
        [bodyPiece(size, k), false],
        [sleevePiece(size, k), false],
        [sleevePiece(size, k), true],
      ] as const) {
        const placed = place(piece, garment, pieces.length + 1, mirrored, [x, y]);
        pieces.push(placed);
        const box = bounds(placed.outline);
        y = box.maxY + gap;
        depth = Math.max(depth, box.maxX - box.minX);
      }
      // The band stands at the end of the row, across the cloth.
      const band = place(bandPiece(size, k), garment, pieces.length + 1, false, [x + depth + gap, 15]);
      pieces.push(band);
      x = bounds(band.outline).maxX + gap;
    }
  }
  const repeats = options.repeats ?? 1;
  const length = x - gap + 15;
  const inside = pieces.reduce((sum, p) => sum + area(p.outline), 0);
  return {
    name: 'main',
    style: STYLE,
    fabric: TERRY,
    options: { gap, sideMargin: 15, endMargin: 15, endAllowance: 20 },
    ratio: { S: repeats, M: 2 * repeats },
    sizes: ['S', 'M'],
    width: 1650,
    length,
    pieces,
    spread: spreadOf(TERRY),
    layers: 1,
    spare: [],
    efficiency: inside / (length * 1650),
    search: { seconds: 0, seed: 1, threads: 1, rounds: 0 },
    verified: true,
    ...options.over,
  };
}

/** A tube: the front's half lies with its fold on the lower edge, a sleeve beside it cuts a pair. */
export function tubeMarker(): Marker {
  const front = bodyPiece('M');
  // Unmirrored, piece x runs towards smaller Y: mirrored, it grows away from the fold at Y = 0.
  const half: PlacedPiece = { ...place(front, 'M-1', 1, true, [15, 0], front.half!.cut) };
  const sleeve = place(sleevePiece('M'), 'M-1', 2, false, [15, bounds(half.outline).maxY + 2]);
  const inside = area(half.outline) + area(sleeve.outline);
  const length = bounds([...half.outline, ...sleeve.outline]).maxX + 15;
  const fabric: Fabric = {
    ...TERRY,
    name: 'tube',
    orientation: 'either-way',
    mode: 'tubular',
    usableWidth: 900,
  };
  return {
    ...sampleMarker(),
    name: 'tube',
    fabric,
    spread: spreadOf(fabric),
    ratio: { M: 1 },
    width: 900,
    length,
    layers: 2,
    pieces: [half, sleeve],
    efficiency: inside / (length * 900),
  };
}

/** Lays a piece so that its box starts at `corner` of the marker. */
export function place(
  piece: CutPiece,
  garment: string,
  number: number,
  mirrored: boolean,
  corner: Vec,
  cut: Polygon = piece.cut,
): PlacedPiece {
  const turn = { mirrored, rotation: 0 };
  const loose = bounds(cut.map(toMarker({ ...turn, at: [0, 0] })));
  const at = sub(corner, [loose.minX, loose.minY]);
  const outline = counterClockwise(cut.map(toMarker({ ...turn, at })));
  return { piece, garment, number, ...turn, at, outline };
}

const cutLine = (sew: Polygon): Polygon => counterClockwise(offset([sew], 10, { join: 'miter' })[0]!);

const rightHalf = (cut: Polygon): Polygon =>
  counterClockwise(
    intersection(
      [cut],
      [
        [
          [0, -100],
          [2000, -100],
          [2000, 2000],
          [0, 2000],
        ],
      ],
    )[0]!,
  );

/** A notch where the cut line passes nearest to `near`. */
function notch(name: string, kind: CutNotch['kind'], cut: Polygon, near: Vec): CutNotch {
  let best: { at: Vec; inward: Vec; away: number } | undefined;
  cut.forEach((a, i) => {
    const b = cut[(i + 1) % cut.length]!;
    const along = unit(sub(b, a));
    const t = Math.min(
      1,
      Math.max(
        0,
        ((near[0] - a[0]) * (b[0] - a[0]) + (near[1] - a[1]) * (b[1] - a[1])) / lengthSquared(a, b),
      ),
    );
    const at: Vec = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
    const away = Math.hypot(near[0] - at[0], near[1] - at[1]);
    if (!best || away < best.away) best = { at, inward: perp(along), away };
  });
  return { name, kind, at: best!.at, inward: scale(best!.inward, 1), depth: 4 };
}

const lengthSquared = (a: Vec, b: Vec): number => (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2;
