import { CheckError } from '../errors.js';
import { cubic, type Path } from '../geometry/path.js';
import { add, perp, scale, sub, type Vec } from '../geometry/vec.js';

export interface ArmholeEnds {
  readonly underarm: Vec;
  readonly tip: Vec;
  /** Direction of the side seam as it arrives at the underarm from below. */
  readonly side: Vec;
  /** Direction of the shoulder as it leaves the tip for the neck. */
  readonly shoulder: Vec;
}

/** Guide offsets inward from the middle of the vertical under the shoulder tip, mm (common practice, no source). */
export const ARMHOLE_GUIDE = { back: 25.4 / 4, front: 25.4 / 2 } as const;

/**
 * Armhole from underarm to shoulder tip as one smooth curve: it leaves the side seam and meets the shoulder
 * at right angles, so that it runs on across both seams, and stands upright at the guide point, `inward` mm
 * from the middle of the vertical dropped from the tip to the underarm level (common practice, no source).
 *
 *      tip ,
 *         (     <- guide, upright
 *          `---.  underarm
 *
 * @throws CheckError when the underarm does not lie outside and below the guide.
 */
export function armholePath(ends: ArmholeEnds, inward: number): Path {
  const { underarm, tip } = ends;
  const guide: Vec = [tip[0] - inward, (tip[1] + underarm[1]) / 2];
  const across = underarm[0] - guide[0];
  const rise = guide[1] - underarm[1];
  if (across <= 0 || rise <= 0) {
    throw new CheckError(
      `no armhole fits: the underarm lies ${across.toFixed(1)} mm outside and the shoulder tip ${(2 * rise).toFixed(1)} mm above the guide's ends`,
      { mend: 'widen the body at the underarm, narrow the shoulder or lower the armhole' },
    );
  }
  const upright: Vec = [0, 1];
  const outOfSide = perp(ends.side);
  const intoTip = scale(perp(ends.shoulder), -1);
  return [
    cubic(
      underarm,
      add(underarm, scale(outOfSide, 0.62 * across)),
      sub(guide, scale(upright, 0.6 * rise)),
      guide,
    ),
    cubic(guide, add(guide, scale(upright, 0.38 * rise)), sub(tip, scale(intoTip, 0.36 * rise)), tip),
  ];
}
