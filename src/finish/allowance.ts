import { union } from '../geometry/clip.js';
import {
  counterClockwise,
  distanceToSegment,
  type Polygon,
  selfCrossing,
  signedArea,
} from '../geometry/polygon.js';
import { add, cross, distance, dot, norm, perp, scale, sub, unit, type Vec } from '../geometry/vec.js';

/** A stretch of a closed outline with one allowance; both ends included. */
export interface Side {
  readonly points: readonly Vec[];
  readonly allowance: number;
  /** Turned up along the sewing line when sewn: its ends mirror the cut lines of its neighbours. */
  readonly turnedUp?: boolean;
  /** Ends whose allowance is squared to this side's seam instead of mitred. */
  readonly squared?: { readonly start?: boolean; readonly end?: boolean };
}

interface Segment {
  readonly a: Vec;
  readonly b: Vec;
  readonly along: Vec;
  readonly out: Vec;
  readonly allowance: number;
  readonly turnedUp: boolean;
  readonly squaredStart: boolean;
  readonly squaredEnd: boolean;
}

/** Vertices closer than this are one, mm. */
const SAME = 1e-7;
/** A mirrored hem end flatter than this share of its depth would run away sideways: it is mitred instead. */
const LEAST_DESCENT = 0.3;
/** Nearer to the line between its neighbours than this, a vertex is the union's rounding, mm. */
const ROUNDING = 0.002;

/**
 * Cut line round a counter-clockwise outline: every chord moved out by its own side's allowance, corners
 * mitred. A mitre longer than `cornerLimit` times the larger allowance is cut off square; where a wide
 * allowance runs into a narrow one at a flat angle it ends in a step square to the wide side. A side that is
 * turned up ends in the mirror images of its neighbours' cut lines, so that it lies on the piece when turned; one
 * that is squared ends square to its sewing line.
 *
 * Every vertex of the outline gives its own one or two vertices. Only where allowances overlap (in a tight
 * inner curve) the shape is put together by union instead, rounded to the micrometre.
 */
export function addAllowances(sides: readonly Side[], cornerLimit: number): Polygon {
  const segments = segmentsOf(sides);
  const corners = cornersOf(segments, cornerLimit);
  const outline = withoutRepeats(corners.flat());
  if (isPlain(segments, corners, outline)) return outline;
  return unionOfStrips(segments, corners);
}

/** Vertices of the cut line (one or two, in order of travel) that belong to a vertex of the outline. */
export interface CutCorner {
  readonly at: Vec;
  readonly cut: readonly Vec[];
}

/**
 * The cut line of `addAllowances` by the outline's vertices (the same values as in `sides`), so that a point keeps
 * its name on the cut line. Undefined where allowances overlap: what a union gives belongs to no vertex.
 */
export function cutCorners(sides: readonly Side[], cornerLimit: number): CutCorner[] | undefined {
  const segments = segmentsOf(sides);
  const corners = cornersOf(segments, cornerLimit);
  if (!isPlain(segments, corners, withoutRepeats(corners.flat()))) return undefined;
  return segments.map(({ a }, i) => ({ at: a, cut: corners[i]! }));
}

const cornersOf = (segments: readonly Segment[], cornerLimit: number): Vec[][] =>
  segments.map((next, i) => {
    const last = segments[(i + segments.length - 1) % segments.length]!;
    return cornerBetween(last, next, cornerLimit);
  });

const isPlain = (
  segments: readonly Segment[],
  corners: readonly (readonly Vec[])[],
  outline: Polygon,
): boolean => keepDirections(segments, corners) && !selfCrossing(outline);

function segmentsOf(sides: readonly Side[]): Segment[] {
  const segments: Segment[] = [];
  for (const { points, allowance, turnedUp = false, squared = {} } of sides) {
    for (let i = 0; i + 1 < points.length; i++) {
      const [a, b] = [points[i]!, points[i + 1]!];
      if (distance(a, b) < SAME) continue;
      const along = unit(sub(b, a));
      segments.push({
        a,
        b,
        along,
        out: scale(perp(along), -1),
        allowance,
        turnedUp,
        squaredStart: i === 0 && squared.start === true,
        squaredEnd: i + 2 === points.length && squared.end === true,
      });
    }
  }
  return segments;
}

/** Vertices of the cut line at the start of `next`, in order of travel. */
function cornerBetween(last: Segment, next: Segment, cornerLimit: number): Vec[] {
  const hemEnd = turnedUpCorner(last, next);
  if (hemEnd) return hemEnd;
  const square = squaredCorner(last, next, cornerLimit);
  if (square) return square;
  const at = next.a;
  const cosine = dot(last.along, next.along);
  const sine = cross(last.along, next.along);
  const [before, after] = [last.allowance, next.allowance];
  const footBefore = add(at, scale(last.out, before));
  const footAfter = add(at, scale(next.out, after));
  // The mitre would eat into the wider side: end that side square and let the narrow one run into it.
  if (cosine > 0 && before < after * cosine - SAME)
    return [add(at, scale(next.out, before / cosine)), footAfter];
  if (cosine > 0 && after < before * cosine - SAME)
    return [footBefore, add(at, scale(last.out, after / cosine))];
  if (Math.abs(sine) < 1e-9) return cosine > 0 ? [footAfter] : [footBefore, footAfter];

  const reach = (after - before * cosine) / sine;
  const tip = add(footBefore, scale(last.along, reach));
  const limit = cornerLimit * Math.max(before, after);
  const far = distance(tip, at);
  if (sine < 0 || far <= limit + SAME) return [tip];
  const outward = scale(sub(tip, at), 1 / far);
  const cutOff = (foot: Vec, along: Vec) =>
    add(foot, scale(along, (limit - dot(sub(foot, at), outward)) / dot(along, outward)));
  return [cutOff(footBefore, last.along), cutOff(footAfter, next.along)];
}

/**
 * Corner where one of two sides is turned up: where the neighbour's cut line meets the fold of the hem, and
 * the end of that cut line's mirror image at the hem's depth. Undefined at any other corner.
 */
function turnedUpCorner(last: Segment, next: Segment): Vec[] | undefined {
  if (last.turnedUp === next.turnedUp) return undefined;
  const [hem, side] = next.turnedUp ? [next, last] : [last, next];
  const at = next.a;
  const sine = cross(side.along, hem.along);
  if (Math.abs(sine) < LEAST_DESCENT) return undefined;
  // The neighbour's cut line meets the hem's own line here.
  const foot = add(at, scale(side.out, side.allowance));
  const onFold = add(foot, scale(side.along, cross(sub(at, foot), hem.along) / sine));
  // Seen from the corner the neighbour goes up into the piece; its image goes down by as much.
  const up = next.turnedUp ? scale(side.along, -1) : side.along;
  const image = sub(scale(hem.along, 2 * dot(up, hem.along)), up);
  const end = add(onFold, scale(image, hem.allowance / dot(image, hem.out)));
  return next.turnedUp ? [onFold, end] : [end, onFold];
}

/**
 * Outer corner where one seam's allowance ends square to its own sewing line: the line runs on to the neighbour's
 * cut line, and the end stands square there. Sewn to its like, both ends of the seam lie on each other. Undefined
 * where none is asked for, where the corner is hollow, or where the end would run away or cut into the neighbour.
 */
function squaredCorner(last: Segment, next: Segment, cornerLimit: number): Vec[] | undefined {
  if (!last.squaredEnd && !next.squaredStart) return undefined;
  const sine = cross(last.along, next.along);
  if (sine < LEAST_DESCENT) return undefined;
  const at = next.a;
  const [seam, other] = last.squaredEnd ? [last, next] : [next, last];
  // A wider neighbour would lose some of its allowance beside the seam's.
  if (other.allowance * dot(last.along, next.along) > seam.allowance) return undefined;
  const reach = other.allowance / sine;
  if (reach > cornerLimit * Math.max(last.allowance, next.allowance)) return undefined;
  const onCut = add(at, scale(seam.along, last.squaredEnd ? reach : -reach));
  const end = add(onCut, scale(seam.out, seam.allowance));
  return last.squaredEnd ? [end, onCut] : [onCut, end];
}

/** Whether every chord still runs the way it did: an inner curve tighter than its allowance turns over. */
function keepDirections(segments: readonly Segment[], corners: readonly (readonly Vec[])[]): boolean {
  return segments.every((segment, i) => {
    const from = corners[i]!;
    const to = corners[(i + 1) % corners.length]!;
    return dot(sub(to[0]!, from[from.length - 1]!), segment.along) > -SAME;
  });
}

/** The outline, a strip along every chord and a wedge at every outer corner, united. */
function unionOfStrips(segments: readonly Segment[], corners: readonly (readonly Vec[])[]): Polygon {
  const parts: Polygon[] = [segments.map((s) => s.a)];
  segments.forEach((next, i) => {
    const last = segments[(i + segments.length - 1) % segments.length]!;
    const foot = (s: Segment, p: Vec) => add(p, scale(s.out, s.allowance));
    if (next.allowance > 0) parts.push([next.a, foot(next, next.a), foot(next, next.b), next.b]);
    if (cross(last.along, next.along) <= 0) return;
    parts.push(counterClockwise([next.a, foot(last, next.a), ...corners[i]!, foot(next, next.a)]));
  });
  const rings = union(parts.map(withoutRepeats)).map((ring) => [ring, signedArea(ring)] as const);
  const [outer] = rings.sort(([, a], [, b]) => b - a);
  return withoutRounding(outer![0]);
}

/** Strips that meet along one line leave vertices a micrometre off it. */
function withoutRounding(ring: Polygon): Polygon {
  const kept: Vec[] = [];
  ring.forEach((p, i) => {
    const before = kept[kept.length - 1] ?? ring[ring.length - 1]!;
    const after = ring[(i + 1) % ring.length]!;
    if (distanceToSegment(p, before, after) > ROUNDING) kept.push(p);
  });
  return kept;
}

function withoutRepeats(points: Polygon): Polygon {
  return points.filter((p, i) => {
    const before = points[(i + points.length - 1) % points.length]!;
    return norm(sub(p, before)) >= SAME;
  });
}
