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

/** Where an armhole stands upright, and how far its underarm curve reaches. */
export interface ArmholeGuide {
  /** Inward from the vertical under the shoulder tip, mm. */
  readonly inward: number;
  /** Share of the way up from the underarm level to the tip. */
  readonly height?: number;
  /** Handle of the underarm curve as a share of the way from the underarm in to the guide. */
  readonly scoop?: number;
}

/** The middle of the vertical is common practice, no source; the scoop is the house's. */
export const GUIDE_DEFAULTS = { height: 0.5, scoop: 0.62 } as const;

/**
 * Armhole from underarm to shoulder tip as one smooth curve: it leaves the side seam and meets the shoulder
 * at right angles, so that it runs on across both seams, and stands upright at the guide point, which lies
 * inward of the vertical dropped from the tip to the underarm level.
 *
 *      tip ,
 *         (     <- guide, upright
 *          `---.  underarm
 *
 * @throws CheckError when the underarm does not lie outside and below the guide.
 */
export function armholePath(ends: ArmholeEnds, drawn: number | ArmholeGuide): Path {
  const { underarm, tip } = ends;
  const {
    inward,
    height = GUIDE_DEFAULTS.height,
    scoop = GUIDE_DEFAULTS.scoop,
  } = typeof drawn === 'number' ? { inward: drawn } : drawn;
  const guide: Vec = [tip[0] - inward, underarm[1] + (tip[1] - underarm[1]) * height];
  const across = underarm[0] - guide[0];
  const rise = guide[1] - underarm[1];
  const above = tip[1] - guide[1];
  if (across <= 0 || rise <= 0 || above <= 0) {
    throw new CheckError(
      `no armhole fits: the underarm lies ${across.toFixed(1)} mm outside the guide point and ${(tip[1] - underarm[1]).toFixed(1)} mm below the shoulder tip`,
      { mend: 'widen the body at the underarm, narrow the shoulder or lower the armhole' },
    );
  }
  const upright: Vec = [0, 1];
  const outOfSide = perp(ends.side);
  const intoTip = scale(perp(ends.shoulder), -1);
  return [
    cubic(
      underarm,
      add(underarm, scale(outOfSide, scoop * across)),
      sub(guide, scale(upright, 0.6 * rise)),
      guide,
    ),
    cubic(guide, add(guide, scale(upright, 0.38 * above)), sub(tip, scale(intoTip, 0.36 * above)), tip),
  ];
}
