import type { CutPiece } from '../finish/types.js';
import { bounds, hull, type Polygon } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import type { NestInstance, NestItem, Placement } from '../nest/index.js';
import { transformed } from '../nest/transform.js';
import { boundGarments, type Demand } from './counts.js';
import { beyondMargin } from './halves.js';
import type { LayFrame } from './spread.js';
import { turnOf } from './turns.js';
import type { ClothZone, Fabric, LayOptions, PlacedPiece } from './types.js';

/**
 * The packing instance of a marker, one item for each demand, and the way back from its placements.
 *
 * An item is given in the piece frame (turned first where its stretch asks for it), so that the engine's mirroring
 * is that of the piece and a quarter turn lays its wales along the strip. A half on a fold is given as what it
 * needs beyond the fold's margin, and glued to that side of the strip.
 */
export function markerItems(
  demands: readonly Demand[],
  zones: readonly ClothZone[],
  { name, fabric, options, frame }: { name: string; fabric: Fabric; options: LayOptions; frame: LayFrame },
): { instance: NestInstance; place: (placement: Placement) => Pose } {
  const bound = boundGarments(demands);
  const labels = (demand: Demand) => demand.garments.map((label) => bound.get(label.split('+')[0]!)!);
  const { tilt = 0, shadeSpan, gap, endMargin } = options;
  const items = demands.map((demand, index): NestItem => {
    const bothWays = fabric.orientation !== 'one-way';
    const common = {
      id: String(index),
      demand: demand.garments.length,
      ...(fabric.orientation === 'garment-one-way' ? { groups: labels(demand) } : {}),
      ...(shadeSpan === undefined ? {} : { spans: labels(demand) }),
    };
    if (demand.fold) {
      const low = demand.fold === 'low';
      const beyond = onGrid(beyondMargin(demand.piece.half!, frame[demand.fold])!);
      // Turned round it must show its other half, or its fold would face the cloth: a mirroring along the strip.
      const free = fabric.orientation === 'either-way';
      return {
        ...common,
        polygon: transformed(beyond, free ? ALONG : 0, low),
        rotations: [free ? 0 : ALONG],
        mirror: free,
        edge: demand.fold,
      };
    }
    return {
      ...common,
      polygon: itemPolygon(demand, fabric),
      rotations: bothWays ? [ALONG, (ALONG + 180) % 360] : [ALONG],
      mirror: demand.eitherHand,
      // Under the tolerance by less than any machine shows, so that no sum of floats passes it.
      ...(tilt > 0 ? { tilt: Math.max(0, tilt - 1e-9) } : {}),
    };
  });
  const instance: NestInstance = {
    name,
    stripWidth: frame.stripWidth,
    items,
    gap,
    ...(zones.length > 0 ? { zones: zones.map((zone) => stripZone(zone, frame, endMargin, demands)) } : {}),
    ...(shadeSpan === undefined ? {} : { spanLength: shadeSpan }),
  };
  return { instance, place: (placement) => poseOf(placement, demands, { fabric, frame, endMargin }) };
}

type Pose = Pick<PlacedPiece, 'mirrored' | 'rotation' | 'at' | 'outline'>;

/** Quarter turn that lays the wales of the piece frame along the strip. */
const ALONG = 270;

/**
 * Decimals of mm to which outlines are rounded before they are packed, and of what is written: sums of a vertex, a
 * position and a margin then stand exactly as they were checked.
 */
const VERTEX_DIGITS = 6;
const WRITTEN_DIGITS = 10;

export const onGrid = (polygon: Polygon): Polygon =>
  polygon.map(([x, y]) => [Number(x.toFixed(VERTEX_DIGITS)), Number(y.toFixed(VERTEX_DIGITS))]);

/** Adding 0 turns a negative zero into a plain one. */
export const written = (value: number): number => Number(value.toFixed(WRITTEN_DIGITS)) + 0;

const itemPolygon = ({ piece, mirrored }: Demand, fabric: Fabric): Vec[] =>
  transformed(onGrid(piece.cut), turnOf(piece, mirrored, fabric), mirrored);

function poseOf(
  p: Placement,
  demands: readonly Demand[],
  { fabric, frame, endMargin }: { fabric: Fabric; frame: LayFrame; endMargin: number },
): Pose {
  const demand = demands[Number(p.item)]!;
  const x = written(p.x + endMargin);
  if (demand.fold) return foldPose(demand, p, x, frame);
  const mirrored = demand.mirrored !== p.mirror;
  const y = written(p.y + frame.low);
  return {
    mirrored,
    rotation: degrees(p.rotation - ALONG + turnOf(demand.piece, mirrored, fabric)),
    at: [x, y],
    outline: transformed(itemPolygon(demand, fabric), p.rotation, p.mirror).map(
      ([u, v]): Vec => [written(u + p.x + endMargin), written(v + p.y + frame.low)],
    ),
  };
}

/** The whole half, its fold exactly on the fold of the cloth. */
function foldPose({ piece, fold }: Demand, p: Placement, x: number, { width }: LayFrame): Pose {
  const { cut, foldX } = piece.half!;
  const mirrored = (fold === 'low') !== p.mirror;
  const rotation = p.mirror ? 180 : 0;
  const axis = Number(foldX.toFixed(VERTEX_DIGITS));
  const laid = transformed(onGrid(cut), ALONG + rotation, mirrored);
  const at: Vec = [x, fold === 'low' ? written(-axis) : written(width + axis)];
  return {
    mirrored,
    rotation,
    at,
    outline: laid.map(([u, v]): Vec => [written(u + x), written(v + at[1])]),
  };
}

const degrees = (angle: number): number => ((angle % 360) + 360) % 360;

/** A zone as the engine takes it: in the strip's frame, a splice beyond both sides so that no way round is left. */
function stripZone(
  { kind, outline }: ClothZone,
  { width, low, high }: LayFrame,
  endMargin: number,
  demands: readonly Demand[],
): Polygon {
  const { minX, maxX } = bounds(outline);
  const shifted = (points: readonly Vec[]) => points.map(([x, y]): Vec => [x - endMargin, y - low]);
  if (kind === 'splice') {
    return shifted([
      [minX, -width],
      [maxX, -width],
      [maxX, 2 * width],
      [minX, 2 * width],
    ]);
  }
  // Halves are searched without their strip beside the fold: a flaw there is carried out to where they are seen.
  const carried: Vec[] = [];
  for (const [x, y] of outline) {
    if (y < low && demands.some((d) => d.fold === 'low')) carried.push([x, low + SEEN]);
    if (y > width - high && demands.some((d) => d.fold === 'high')) carried.push([x, width - high - SEEN]);
  }
  return carried.length > 0 ? hull(shifted([...outline, ...carried])) : shifted(outline);
}

/** How far such a flaw reaches into the strip, mm. */
const SEEN = 0.1;

/** The longest piece of a demand along the lay, mm. */
export function alongLay(piece: Pick<CutPiece, 'stretch' | 'cut'>, fabric: Fabric): number {
  const { minX, maxX, minY, maxY } = bounds(piece.cut);
  return turnOf(piece, false, fabric) === 0 ? maxY - minY : maxX - minX;
}
