import { CheckError } from '../errors.js';
import { blend, cubic, length, line, type Path } from '../geometry/path.js';
import { solveBetween } from '../geometry/solve.js';
import type { Vec } from '../geometry/vec.js';

/** One side of a hood as seen from the side; mm. */
export interface HoodSpec {
  /** Length of the neck edge. */
  readonly neck: number;
  /** From the back of the neck up to the top. */
  readonly height: number;
  /** From the back of the head to the face. */
  readonly depth: number;
  /** How much lower the neck edge is at the front than at the back. */
  readonly drop: number;
}

export interface HoodSide {
  /** From the back to the front of the neck. */
  readonly neckline: Path;
  /** Up the face. */
  readonly face: Path;
  /** From the top at the face over the head down to the back of the neck. */
  readonly crown: Path;
}

/** The back of the head is widest this share of the height above the neck (common practice, no source). */
const WIDEST = 0.55;
/** How far the back may swell beyond the back of the neck, or lean in from it, mm. */
const SWELL = 90;
/** The least room between neck edge and top, as a share of the height. */
const LEAST_RUN = 0.2;

/**
 * One side of a hood: its neck edge, solved to its length, leaves back and face squarely; the crown leaves the face
 * squarely at the top, is widest behind the head and comes down square on the neck edge, so that all edges run on
 * across the seam.
 *
 *       top ,------- face
 *         /          |
 *        (           |
 *         `.         |
 *           `--.___  |   neck edge, lower in front
 *
 * @throws CheckError with the numbers for a neck edge that the shape does not take.
 */
export function hoodSide(spec: HoodSpec): HoodSide {
  const { neck, height, depth, drop } = spec;
  const edge = (across: number): Path => [blend([0, 0], [1, 0], [across, -drop], [1, 0], [0.4, 0.4])];
  if (neck <= drop * 1.1 || drop < 0) {
    throw new CheckError(`a hood's neck edge of ${neck.toFixed(1)} mm cannot drop by ${drop.toFixed(1)} mm`, {
      mend: 'let it drop less in front (drop)',
    });
  }
  const across = solveBetween((x) => length(edge(x)) - neck, neck * LEAST_RUN, neck * 1.01);
  const behind = across - depth;
  if (Math.abs(behind) > SWELL) {
    throw new CheckError(
      `a hood ${depth.toFixed(1)} mm deep does not stand on a neck edge ${across.toFixed(1)} mm across: its back would lie ${Math.abs(behind).toFixed(1)} mm ${behind < 0 ? 'behind' : 'before'} the back of the neck`,
      { mend: `make it from ${(across - SWELL).toFixed(0)} to ${(across + SWELL).toFixed(0)} mm deep` },
    );
  }
  const top: Vec = [across, height];
  const back: Vec = [behind, height * WIDEST];
  const rise = height - back[1];
  return {
    neckline: edge(across),
    face: [line([across, -drop], top)],
    crown: [
      cubic(top, [top[0] - depth * 0.55, top[1]], [back[0], back[1] + rise * 0.62], back),
      cubic(back, [back[0], back[1] * 0.55], [0, back[1] * 0.4], [0, 0]),
    ],
  };
}
