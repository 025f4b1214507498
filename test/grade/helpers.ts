import { readFileSync } from 'node:fs';
import { cubic, line, type Path } from '../../src/geometry/path.js';
import { add, type Vec } from '../../src/geometry/vec.js';
import { type GradeSpec, gradeSchema, gradeSpec, type IncrementPreset } from '../../src/grade/index.js';
import { usedLength } from '../../src/pattern/measure.js';
import {
  type Edge,
  type Growth,
  type Pattern,
  type Piece,
  type PointOfMeasure,
  type Seam,
  withPiece,
} from '../../src/pattern/model.js';

export const SIZES = ['XS', 'S', 'M', 'L', 'XL', '2XL', '3XL'];

const radians = (degrees: number) => (degrees * Math.PI) / 180;

export interface BodyShape {
  readonly backSlope: number;
  readonly frontSlope: number;
  readonly shoulder: number;
}

const SHAPE: BodyShape = { backSlope: 18, frontSlope: 20, shoulder: 130 };

/**
 * A sweatshirt of back and front halves with equal shoulders at two slopes, a sleeve derived from both
 * armholes (straight cap, 6 mm longer) and a neckband derived from the neckline (85 %).
 */
export function samplePattern(shape: BodyShape = SHAPE): Pattern {
  const bare: Pattern = {
    name: 'sample',
    pieces: [
      bodyHalf('back', shape.backSlope, shape.shoulder),
      bodyHalf('front', shape.frontSlope, shape.shoulder),
    ],
    seams: [
      seam('shoulder', [['front', 'shoulder']], [['back', 'shoulder']]),
      seam('side', [['front', 'side']], [['back', 'side']]),
      {
        ...seam(
          'cap',
          [
            ['sleeve', 'front-cap'],
            ['sleeve', 'back-cap'],
          ],
          [
            ['front', 'armhole'],
            ['back', 'armhole'],
          ],
        ),
        plus: 6,
      },
      {
        ...seam(
          'band',
          [['band', 'lower']],
          [
            ['front', 'neckline'],
            ['back', 'neckline'],
          ],
          2,
        ),
        ratio: 0.85,
      },
    ],
    measures: sampleMeasures(),
  };
  return band(sleeve(bare, {}), {});
}

function bodyHalf(name: 'back' | 'front', slope: number, shoulder: number): Piece {
  const neckPoint: Vec = [85, 720];
  const tip = add(neckPoint, [shoulder * Math.cos(radians(slope)), -shoulder * Math.sin(radians(slope))]);
  const centerNeck: Vec = [0, name === 'back' ? 698 : 640];
  const underarm: Vec = [270, 450];
  const waist: Vec = [255, 250];
  const hem: Vec = [262, 0];
  const edges: Edge[] = [
    edge('hem', 'center-hem', 'side-hem', [line([0, 0], hem)]),
    {
      ...edge('side', 'side-hem', 'underarm', [
        cubic(hem, [262, 90], [255, 170], waist),
        cubic(waist, [255, 320], [265, 390], underarm),
      ]),
      marks: { waist: 1 },
    },
    edge('armhole', 'underarm', 'shoulder-tip', [
      cubic(underarm, [215, 450], [tip[0] - 10, 500], [tip[0] - 10, 560]),
      cubic([tip[0] - 10, 560], [tip[0] - 10, 600], [tip[0] - 8, tip[1] - 40], tip),
    ]),
    edge('shoulder', 'shoulder-tip', 'neck-point', [line(tip, neckPoint)]),
    edge('neckline', 'neck-point', 'center-neck', [
      cubic(neckPoint, [80, centerNeck[1] + 15], [45, centerNeck[1]], centerNeck),
    ]),
    edge('fold', 'center-neck', 'center-hem', [line(centerNeck, [0, 0])]),
  ];
  return {
    name,
    edges,
    fold: 'fold',
    grain: { from: [60, 120], to: [60, 420] },
    notches: [
      {
        name: `${name}-armhole`,
        edge: 'armhole',
        at: { length: 75 },
        kind: name === 'back' ? 'double' : 'single',
      },
    ],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric: 'self',
  };
}

/** A sleeve whose cap is two straight lines: its height follows from the cap's length and the bicep. */
export function sleeve(pattern: Pattern, growth: Growth): Pattern {
  const side = (usedLength(pattern, [use('front', 'armhole'), use('back', 'armhole')]) + 6) / 2;
  const half = (380 + (growth['bicep'] ?? 0)) / 2;
  const height = Math.sqrt(side * side - half * half);
  const low = height - 600 - (growth['sleeve-length'] ?? 0);
  const wrist = (200 + (growth['wrist'] ?? 0)) / 2;
  const piece: Piece = {
    name: 'sleeve',
    edges: [
      edge('wrist', 'back-wrist', 'front-wrist', [line([-wrist, low], [wrist, low])]),
      edge('front-underarm', 'front-wrist', 'front-bicep', [line([wrist, low], [half, 0])]),
      edge('front-cap', 'front-bicep', 'crown', [line([half, 0], [0, height])]),
      edge('back-cap', 'crown', 'back-bicep', [line([0, height], [-half, 0])]),
      edge('back-underarm', 'back-bicep', 'back-wrist', [line([-half, 0], [-wrist, low])]),
    ],
    grain: { from: [0, low * 0.8], to: [0, 0] },
    notches: [{ name: 'crown', edge: 'front-cap', at: { ratio: 1 }, kind: 'single' }],
    counts: { asDrawn: 1, mirrored: 1 },
    fabric: 'self',
    derived: { step: 'sleeve', from: ['front', 'back'], run: sleeve },
  };
  return withPiece(pattern, piece);
}

export function band(pattern: Pattern, _growth: Growth): Pattern {
  const size = 0.85 * usedLength(pattern, [use('front', 'neckline', 2), use('back', 'neckline', 2)]);
  const corners: Vec[] = [
    [0, 0],
    [size, 0],
    [size, 60],
    [0, 60],
  ];
  const names = ['lower-left', 'lower-right', 'upper-right', 'upper-left'];
  const edges = ['lower', 'right', 'upper', 'left'].map((name, i) =>
    edge(name, names[i]!, names[(i + 1) % 4]!, [line(corners[i]!, corners[(i + 1) % 4]!)]),
  );
  return withPiece(pattern, {
    name: 'band',
    edges,
    grain: { from: [size / 2, 10], to: [size / 2, 50] },
    notches: [],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric: 'rib',
    derived: { step: 'band', from: ['front', 'back'], run: band },
  });
}

function sampleMeasures(): PointOfMeasure[] {
  const both = (to: string) =>
    (['back', 'front'] as const).map(
      (piece) => ({ kind: 'span', piece, from: 'center-hem', to, axis: 'x', times: 2 }) as const,
    );
  const span = (piece: string, from: string, to: string, axis: 'x' | 'y', times = 1) => [
    { kind: 'span', piece, from, to, axis, times } as const,
  ];
  const grown = (name: string, terms: PointOfMeasure['terms'], increment: string): PointOfMeasure => ({
    name,
    terms,
    grows: { [increment]: 1 },
    tolerance: 1,
  });
  return [
    grown('chest', both('underarm'), 'bust'),
    grown('waist', both('waist'), 'waist'),
    grown('hem', both('side-hem'), 'hip'),
    grown('across shoulder', span('back', 'center-hem', 'shoulder-tip', 'x', 2), 'across-shoulder'),
    grown('neck width', span('back', 'center-hem', 'neck-point', 'x', 2), 'neck-width'),
    grown('armhole depth', span('back', 'underarm', 'shoulder-tip', 'y'), 'armhole-depth'),
    grown('front neck depth', span('front', 'center-neck', 'neck-point', 'y'), 'front-neck-depth'),
    grown('back neck depth', span('back', 'center-neck', 'neck-point', 'y'), 'back-neck-depth'),
    grown('back waist length', span('back', 'center-neck', 'waist', 'y'), 'back-waist-length'),
    grown('body length', span('back', 'neck-point', 'center-hem', 'y'), 'body-length'),
    grown('bicep', span('sleeve', 'back-bicep', 'front-bicep', 'x'), 'bicep'),
    { name: 'cap height', terms: span('sleeve', 'front-bicep', 'crown', 'y'), tolerance: 1 },
  ];
}

const edge = (name: string, from: string, to: string, path: Path): Edge => ({ name, from, to, path });
const use = (piece: string, edgeName: string, times = 1) => ({ piece, edge: edgeName, times });
const seam = (name: string, left: string[][], right: string[][], times = 1): Seam => ({
  name,
  left: left.map(([piece, e]) => use(piece!, e!)),
  right: right.map(([piece, e]) => use(piece!, e!, times)),
  ratio: 1,
  plus: 0,
  tolerance: 0.5,
});

/** A spec from a style's `grade` part, lengths in mm unless they name their unit. */
export function specOf(part: Record<string, unknown>, preset?: IncrementPreset): GradeSpec {
  return gradeSpec(gradeSchema('mm').parse({ sizes: SIZES, base: 'M', ...part }), preset);
}

/** Increments that use every measure of a body, mm a size. */
export const EVERY_INCREMENT = {
  bust: 50,
  waist: 50,
  hip: 48,
  'across-shoulder': 12,
  'neck-width': 6,
  'armhole-depth': 6,
  'front-neck-depth': 3,
  'back-neck-depth': 1,
  'back-waist-length': 7,
  'body-length': 15,
  bicep: 16,
  wrist: 6,
  'sleeve-length': 8,
};

export const readPreset = (name: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../presets/${name}.json`, import.meta.url), 'utf8'));
