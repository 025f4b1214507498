import { cubic, line, type Path, startDirection } from '../geometry/path.js';
import { add, scale, sub, unit, type Vec } from '../geometry/vec.js';
import type { Edge, Notch, Piece } from '../pattern/model.js';
import { ARMHOLE_GUIDE, type ArmholeGuide, armholePath } from './armhole.js';
import { necklinePath } from './neckline.js';

/** Armhole notches stand this share of the armhole above the underarm. */
export const NOTCH_SHARE = 1 / 3;

/** The named points of a body half, its fold on x = 0; mm. */
export interface HalfPoints {
  readonly centerHem: Vec;
  readonly sideHem: Vec;
  readonly waist?: Vec | undefined;
  readonly underarm: Vec;
  readonly tip: Vec;
  readonly neckPoint: Vec;
  readonly centerNeck: Vec;
}

/** How the curves of a half are drawn where they are not as the house draws them. */
export interface HalfCurves {
  readonly armhole?: ArmholeGuide;
  readonly fullness?: number;
}

/**
 * A half back or front on the fold from its points: hem and shoulder straight, the side seam shaped at its waist
 * or straight, armhole and neckline square to the seams they run across.
 *
 * @throws CheckError when no armhole fits between shoulder tip and underarm.
 */
export function drawHalf(name: 'back' | 'front', points: HalfPoints, curves: HalfCurves = {}): Piece {
  const { centerHem, sideHem, waist, underarm, tip, neckPoint, centerNeck } = points;
  const guide = curves.armhole ?? { inward: ARMHOLE_GUIDE[name] };
  const shoulder: Path = [line(tip, neckPoint)];
  const along = startDirection(shoulder);
  const side = unit(sub(underarm, waist ?? sideHem));
  const { fullness } = curves;
  const width = Math.min(sideHem[0], underarm[0], waist?.[0] ?? Number.POSITIVE_INFINITY);
  return {
    name,
    edges: [
      edge('hem', 'center-hem', 'side-hem', [line(centerHem, sideHem)]),
      {
        ...edge('side', 'side-hem', 'underarm', sideSeam(sideHem, waist, underarm)),
        ...(waist ? { marks: { waist: 1 } } : {}),
      },
      {
        ...edge(
          'armhole',
          'underarm',
          'shoulder-tip',
          armholePath({ underarm, tip, side, shoulder: along }, guide),
        ),
        drawn: { ...guide, as: 'armhole' },
      },
      edge('shoulder', 'shoulder-tip', 'neck-point', shoulder),
      {
        ...edge(
          'neckline',
          'neck-point',
          'center-neck',
          necklinePath(neckPoint, centerNeck, along, { fullness }),
        ),
        drawn: { as: 'neckline', ...(fullness === undefined ? {} : { fullness }) },
      },
      edge('fold', 'center-neck', 'center-hem', [line(centerNeck, centerHem)]),
    ],
    fold: 'fold',
    grain: { from: [width / 2, (centerHem[1] + underarm[1]) / 2], to: [width / 2, underarm[1]] },
    notches: [armholeNotch(name)],
    counts: { asDrawn: 1, mirrored: 0 },
    fabric: 'self',
  };
}

const edge = (name: string, from: string, to: string, path: Path): Edge => ({ name, from, to, path });

/** Hem to underarm, upright at hem and waist, straight into the underarm; straight where no waist is known. */
function sideSeam(hem: Vec, waist: Vec | undefined, underarm: Vec): Path {
  if (!waist) return [line(hem, underarm)];
  const below = waist[1] - hem[1];
  const above = underarm[1] - waist[1];
  return [
    cubic(hem, add(hem, [0, below * 0.4]), sub(waist, [0, below * 0.35]), waist),
    cubic(waist, add(waist, [0, above * 0.3]), add(underarm, scale(sub(waist, underarm), 0.35)), underarm),
  ];
}

const armholeNotch = (side: 'back' | 'front'): Notch => ({
  name: `${side}-armhole`,
  edge: 'armhole',
  at: { ratio: NOTCH_SHARE },
  // One nick tells the front, two the back (common practice, no source).
  kind: side === 'front' ? 'single' : 'double',
});
