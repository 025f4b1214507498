import { cubic, type Path } from '../geometry/path.js';
import { add, distance, lerp, perp, scale, sub, unit, type Vec } from '../geometry/vec.js';
import type { NecklineShape } from '../pattern/model.js';

export interface NecklineDrawing {
  readonly shape?: NecklineShape | undefined;
  /** Factor on both handles: above 1 the curve fills its corner more and is longer. */
  readonly fullness?: number | undefined;
}

interface Handles {
  /** Share of the depth at the neck point. */
  readonly neck: number;
  /** Share of the half width at the centre. */
  readonly center: number;
}

/** Handles of a deep neckline. */
const DEEP: Handles = { neck: 0.5, center: 0.58 };
/** Handles of a shallow one, such as a back neckline: longer, so that no hook forms at the neck point. */
const SHALLOW: Handles = { neck: 1.04, center: 0.66 };
/** A scoop stands upright longer and is rounder below. */
const SCOOP: Handles = { neck: 0.62, center: 0.72 };
/** Depth over half width up to which a neckline is shallow, and from which it is deep. */
const SHALLOW_UP_TO = 0.3;
const DEEP_FROM = 0.6;
/** A V leaves the shoulder squarely over this share of its length; how far down the rest its second handle lies. */
const V_REACH = 0.28;
const V_BEND = 0.3;

/**
 * Neckline from the neck point to the centre: at a right angle to the shoulder, so that it runs on across the
 * shoulder seam, and level at the centre, so that it opens smoothly from the fold. A V runs straight into its
 * point instead.
 *
 * @param shoulder direction of the shoulder from tip to neck point.
 */
export function necklinePath(
  neckPoint: Vec,
  centerNeck: Vec,
  shoulder: Vec,
  { shape = 'round', fullness = 1 }: NecklineDrawing = {},
): Path {
  const square = unit(perp(shoulder));
  if (shape === 'v') {
    // Both handles lie on one line into the point: the curve turns one way only and ends straight.
    const corner = add(neckPoint, scale(square, V_REACH * distance(neckPoint, centerNeck) * fullness));
    return [cubic(neckPoint, corner, lerp(corner, centerNeck, V_BEND), centerNeck)];
  }
  const [width, depth] = sub(neckPoint, centerNeck);
  const handles = shape === 'scoop' ? atLeastRound(depth / width, SCOOP) : roundHandles(depth / width);
  const neck = handles.neck * depth * fullness;
  const center = handles.center * width * fullness;
  return [cubic(neckPoint, add(neckPoint, scale(square, neck)), add(centerNeck, [center, 0]), centerNeck)];
}

function roundHandles(proportion: number): Handles {
  const deepness = Math.min(1, Math.max(0, (proportion - SHALLOW_UP_TO) / (DEEP_FROM - SHALLOW_UP_TO)));
  const between = (shallow: number, deep: number) => shallow + (deep - shallow) * deepness;
  return { neck: between(SHALLOW.neck, DEEP.neck), center: between(SHALLOW.center, DEEP.center) };
}

/** A scoop that is shallow is drawn as round as a shallow neckline is. */
function atLeastRound(proportion: number, handles: Handles): Handles {
  const round = roundHandles(proportion);
  return {
    neck: Math.max(round.neck, handles.neck),
    center: Math.max(round.center, handles.center),
  };
}
