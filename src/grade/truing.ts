import { CheckError } from '../errors.js';
import { hasPiece, pieceOf, pointsOf } from '../pattern/model.js';
import { walkJoins, walkSeams } from '../pattern/walk.js';
import type { SizeRange, SizeTruing } from './types.js';

/** Walks every seam and looks at every join of every size. */
export const trueRange = (range: SizeRange): SizeTruing[] =>
  range.sizes.map(({ size, pattern }) => ({ size, seams: walkSeams(pattern), joins: walkJoins(pattern) }));

/** A seam that does not sew together in one size; lengths mm. */
export interface SeamFailure {
  readonly size: string;
  readonly seam: string;
  readonly difference: number;
  readonly tolerance: number;
}

/** A join that dips or peaks in one size; degrees. */
export interface JoinFailure {
  readonly size: string;
  readonly join: string;
  readonly degrees: number;
  readonly tolerance: number;
}

/** Seams out of tolerance: what stops laying and export. */
export const seamFailures = (truings: readonly SizeTruing[]): SeamFailure[] =>
  truings.flatMap(({ size, seams }) =>
    seams
      .filter((walk) => !walk.matches)
      .map(({ seam, difference, tolerance }) => ({ size, seam, difference, tolerance })),
  );

/** Joins that are not smooth: told, but they stop nothing. */
export const joinFailures = (truings: readonly SizeTruing[]): JoinFailure[] =>
  truings.flatMap(({ size, joins }) =>
    joins
      .filter((check) => !check.smooth)
      .map(({ join, degrees, tolerance }) => ({ size, join, degrees, tolerance })),
  );

/**
 * @param mend what to do, where more is known than the walks tell.
 * @throws CheckError that lists every seam out of tolerance, when there is one.
 */
export function assertTrued(
  truings: readonly SizeTruing[],
  mend = 'true the base pattern, or look at the increments of the edges that meet there',
): void {
  const failures = seamFailures(truings);
  if (failures.length === 0) return;
  const lines = failures.map(
    (f) =>
      `${f.seam} in ${f.size} is off by ${f.difference.toFixed(2)} mm (tolerance ${Number(f.tolerance.toFixed(3))} mm)`,
  );
  const seams = failures.length === 1 ? 'a seam does' : `${failures.length} seams do`;
  throw new CheckError(`${seams} not match: ${lines.join('; ')}`, { mend });
}

/** Height of a sleeve's cap in every size: crown above bicep line, mm. */
export interface CapHeight {
  readonly size: string;
  readonly height: number;
  /** Lower than in the next smaller size. */
  readonly falls: boolean;
}

/** Less than this is no fall, mm. */
const FALL_TOLERANCE = 0.1;

/**
 * Cap heights of `piece` over the range, none when the pattern has no such piece. A cap that falls as the
 * size rises makes a baggier sleeve of the larger size: warn of it.
 */
export function capHeights(range: SizeRange, piece = 'sleeve'): CapHeight[] {
  const heights = range.sizes.flatMap(({ size, pattern }) => {
    if (!hasPiece(pattern, piece)) return [];
    const points = pointsOf(pieceOf(pattern, piece));
    const crown = points.get('crown');
    const bicep = points.get('front-bicep');
    return crown && bicep ? [{ size, height: crown[1] - bicep[1] }] : [];
  });
  return heights.map((cap, i) => {
    const smaller = heights[i - 1];
    return { ...cap, falls: smaller !== undefined && cap.height < smaller.height - FALL_TOLERANCE };
  });
}
