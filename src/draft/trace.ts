import { InputError } from '../errors.js';
import {
  length,
  line,
  nodes,
  type Path,
  reverse,
  type Segment,
  segmentPoint,
  splitSegment,
  sweptArea,
} from '../geometry/path.js';
import { distance, norm, type Vec } from '../geometry/vec.js';
import { CORNER_REACH, findCorners, loopOf } from './trace-corners.js';
import { type EndDirections, fitChain } from './trace-fit.js';
import { tangentAt } from './trace-joint.js';
import { noiseOf } from './trace-noise.js';

export interface TraceOptions {
  /** Greatest distance of a traced point from its edge, mm. */
  readonly tolerance: number;
  /** A place that turns by at least this, degrees, is a corner. */
  readonly cornerAngle: number;
  /** Length of outline on either side over which a turn is judged, mm: larger than the wobble of the hand. */
  readonly scale: number;
  /** Corners by place, mm, in place of those that are found: each the sharpest point of the outline near it. */
  readonly corners?: readonly Vec[];
  /** Places, mm, at which an edge is parted into two that run on smoothly. */
  readonly joints?: readonly Vec[];
  /** Direction in which an edge must leave or reach a corner, given the one it was found to have. */
  readonly square?: (corner: Vec, found: Vec) => Vec | undefined;
}

export const TRACE_DEFAULTS = { tolerance: 0.1, cornerAngle: 25, scale: 8 } as const satisfies TraceOptions;

/** An outline as edges between corners. */
export interface Traced {
  /** Counter-clockwise; each starts where the one before ends. */
  readonly edges: readonly Path[];
  /** Turn at the start of each edge, degrees, counter-clockwise positive. */
  readonly turns: readonly number[];
  /** How far the points scatter about smooth curves (standard deviation), mm; 0 for an exact outline. */
  readonly noise: number;
  /** The tolerance that was kept: that asked for, or 4.5 times the noise where that is more; mm. */
  readonly tolerance: number;
  /** Greatest distance of a traced point from its edge, mm. */
  readonly worst: number;
}

/** Standard deviations that all but one point in 150,000 keep to, were they normally distributed. */
const NOISE_REACH = 4.5;
/** A chain of no more curves than this was drawn on purpose and stays as drawn. */
const FEW_SEGMENTS = 16;
/** Points closer than this are one, mm. */
const SAME = 1e-6;

/**
 * A closed outline, traced densely or drawn exactly, as smooth edges between corners, counter-clockwise. Corners
 * are places that turn sharply where the outline is looked at over `scale`; between them straight stretches
 * become lines and the rest cubic Beziers within the tolerance. Curves that are curves already stay as drawn.
 *
 * @throws InputError for an outline without area, or a named corner that is far off it.
 */
export function traceOutline(outline: Path | readonly Vec[], options: Partial<TraceOptions> = {}): Traced {
  const wanted = { ...TRACE_DEFAULTS, ...options };
  const joints = wanted.joints ?? [];
  const closed = (wanted.corners ?? []).reduce(nearNode, counterClockwise(closedPath(outline)));
  const path = joints.reduce(withNode, closed);
  const loop = loopOf(path);
  const noise = noiseOf(loop);
  const corners = findCorners(loop, wanted, noise);
  const tolerance = Math.max(wanted.tolerance, NOISE_REACH * noise);
  const parted = joints.map((at) => nearestNode(path, at)).filter((n) => !corners.some((c) => c.node === n));
  const smooth = new Map(parted.map((node) => [node, tangentAround(path, node, noise)]));
  const stops = [...corners, ...parted.map((node) => ({ node, degrees: 0 }))].sort((a, b) => a.node - b.node);
  let worst = 0;
  const edges = stops.map(({ node }, k) => {
    const next = stops[(k + 1) % stops.length]!;
    const chain = chainBetween(path, node, next.node);
    const drawn = asDrawn(chain);
    if (drawn) return drawn;
    const ends: EndDirections = {
      leaving: (found) => smooth.get(node) ?? wanted.square?.(chain[0]!.a, found),
      arriving: (found) => smooth.get(next.node) ?? wanted.square?.(chain[chain.length - 1]!.b, found),
    };
    const fitted = fitChain(chain, ends, { tolerance, noise });
    worst = Math.max(worst, fitted.worst);
    return fitted.path;
  });
  return { edges, turns: stops.map((c) => c.degrees), noise, tolerance, worst };
}

/** A joint this near to a node of the outline is at it, mm. */
const AT_NODE = 2;

/** The path with a node in reach of a named corner: on a long side there is none. */
const nearNode = (path: Path, at: Vec): Path =>
  distance(path[nearestNode(path, at)]!.a, at) <= CORNER_REACH ? path : withNode(path, at);

/** The path with a node where it comes nearest to a place. */
function withNode(path: Path, at: Vec): Path {
  if (distance(path[nearestNode(path, at)]!.a, at) <= AT_NODE) return path;
  const samples = path.flatMap((s, i) =>
    Array.from({ length: 33 }, (_, k) => ({ i, t: k / 32, p: segmentPoint(s, k / 32) })),
  );
  const best = samples.reduce((a, b) => (distance(b.p, at) < distance(a.p, at) ? b : a));
  if (best.t === 0 || best.t === 1) return path;
  return [...path.slice(0, best.i), ...splitSegment(path[best.i]!, best.t), ...path.slice(best.i + 1)];
}

const nearestNode = (path: Path, at: Vec): number =>
  path.reduce((best, s, i) => (distance(s.a, at) < distance(path[best]!.a, at) ? i : best), 0);

/** Points on either side of a node from which its tangent is told. */
const AROUND = 40;

function tangentAround(path: Path, node: number, noise: number): Vec {
  const reach = Math.min(AROUND, Math.floor((path.length - 1) / 2));
  const points = Array.from(
    { length: 2 * reach + 1 },
    (_, k) => path[(node - reach + k + path.length) % path.length]!.a,
  );
  return tangentAt(points, reach, noise);
}

/** The chain as it is, unless it is a row of short lines or curves that stand for something smoother. */
function asDrawn(chain: Path): Path | undefined {
  if (chain.length === 1) return chain;
  if (chain.length <= FEW_SEGMENTS && chain.some((s) => s.kind === 'cubic')) return chain;
  return undefined;
}

function chainBetween(path: Path, from: number, to: number): Path {
  return from < to ? path.slice(from, to) : [...path.slice(from), ...path.slice(0, to)];
}

function closedPath(outline: Path | readonly Vec[]): Path {
  const path = isPath(outline) ? outline : lines(outline);
  const kept = path.filter((s) => size(s) > SAME);
  if (kept.length < 2) throw new InputError('the outline has fewer than two sides');
  return kept.map((s, i): Segment => {
    // What was left out between two segments is less than rounding: they meet exactly again.
    const b = kept[(i + 1) % kept.length]!.a;
    if (distance(s.b, b) > SAME * 10) throw new InputError('the outline is not closed');
    return s.kind === 'line' ? line(s.a, b) : { ...s, b };
  });
}

const size = (s: Segment): number => (s.kind === 'line' ? distance(s.a, s.b) : length([s]));

const isPath = (outline: Path | readonly Vec[]): outline is Path =>
  outline.length > 0 && !Array.isArray(outline[0]);

const lines = (points: readonly Vec[]): Path =>
  points.map((p, i) => line(p, points[(i + 1) % points.length]!));

function counterClockwise(path: Path): Path {
  const area = sweptArea(path);
  const reach = Math.max(...nodes(path).map(norm), 1);
  if (!(Math.abs(area) > 1e-9 * reach * reach)) throw new InputError('the outline encloses no area');
  return area > 0 ? path : reverse(path);
}
