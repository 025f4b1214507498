import Clipper from 'clipper-lib';
import * as fc from 'fast-check';
import * as polyclip from 'polyclip-ts';
import type { Vec } from '../../src/geometry/vec.js';
import type { NestInstance, NestItem, Placement } from '../../src/nest/index.js';

export const rectangle = (width: number, height: number): Vec[] => [
  [0, 0],
  [width, 0],
  [width, height],
  [0, height],
];

export const triangle: Vec[] = [
  [0, 0],
  [9, 1],
  [3, 7],
];

/** An L that locks with a copy of itself turned by half a turn. */
export const corner: Vec[] = [
  [0, 0],
  [8, 0],
  [8, 3],
  [3, 3],
  [3, 9],
  [0, 9],
];

export const item = (
  id: string,
  polygon: readonly Vec[],
  demand: number,
  rest: Partial<NestItem> = {},
): NestItem => ({
  id,
  polygon,
  demand,
  rotations: [0, 180],
  ...rest,
});

/** Three kinds of piece, fifteen copies, in a strip of 20. */
export const mixed: NestInstance = {
  name: 'mixed',
  stripWidth: 20,
  items: [item('corner', corner, 5), item('triangle', triangle, 6), item('bar', rectangle(7, 2), 4)],
};

/** A star-shaped polygon round the origin: radii at evenly spread angles, so simple and counter-clockwise. */
export const starPolygon = (least = 1, most = 6): fc.Arbitrary<Vec[]> =>
  fc.array(fc.integer({ min: least * 100, max: most * 100 }), { minLength: 4, maxLength: 11 }).map((radii) =>
    radii.map((r, i): Vec => {
      const angle = (2 * Math.PI * i) / radii.length;
      return [Math.round(r * Math.cos(angle)) / 100, Math.round(r * Math.sin(angle)) / 100];
    }),
  );

/** The polygon of a placement, by plain trigonometry: written apart from the engine's own transforms. */
export function laid(instance: NestInstance, placement: Placement): Vec[] {
  const { polygon } = instance.items.find(({ id }) => id === placement.item)!;
  const angle = (placement.rotation * Math.PI) / 180;
  return polygon.map(([px, py]): Vec => {
    const x = placement.mirror ? -px : px;
    return [
      x * Math.cos(angle) - py * Math.sin(angle) + placement.x,
      x * Math.sin(angle) + py * Math.cos(angle) + placement.y,
    ];
  });
}

/** Area that two polygons share, by polyclip-ts. */
export function sharedArea(a: readonly Vec[], b: readonly Vec[]): number {
  // Sines leave noise in the last digits, at which polyclip-ts cannot always close its rings.
  const tidy = (v: number) => Math.round(v * 1e10) / 1e10;
  const ring = (p: readonly Vec[]) => [p.map(([x, y]): [number, number] => [tidy(x), tidy(y)])];
  const pieces = polyclip.intersection(ring(a), ring(b));
  let area = 0;
  for (const polygon of pieces) {
    for (const loop of polygon) {
      for (let i = 0; i + 1 < loop.length; i++) {
        area += (loop[i]![0] * loop[i + 1]![1] - loop[i + 1]![0] * loop[i]![1]) / 2;
      }
    }
  }
  return area;
}

/**
 * Largest area that any two placed pieces share, as a share of the strip width squared, by clipper-lib on
 * whole numbers: for layouts whose near-equal coordinates polyclip-ts cannot take.
 */
export function worstOverlapOnGrid(instance: NestInstance, placements: readonly Placement[]): number {
  const scale = 2 ** 30 / instance.stripWidth;
  const paths = placements.map((p) =>
    laid(instance, p).map(([x, y]) => ({ X: Math.round(x * scale), Y: Math.round(y * scale) })),
  );
  let worst = 0;
  for (let i = 0; i < paths.length; i++) {
    for (let j = 0; j < i; j++) {
      const clipper = new Clipper.Clipper();
      clipper.AddPath(paths[i]!, Clipper.PolyType.ptSubject, true);
      clipper.AddPath(paths[j]!, Clipper.PolyType.ptClip, true);
      const shared: { X: number; Y: number }[][] = [];
      clipper.Execute(Clipper.ClipType.ctIntersection, shared, 1, 1);
      const area = shared.reduce((sum, path) => sum + Clipper.Clipper.Area(path), 0);
      worst = Math.max(worst, Math.abs(area) / 2 ** 60);
    }
  }
  return worst;
}

/** Largest area that any two placed pieces share. */
export function worstOverlap(instance: NestInstance, placements: readonly Placement[]): number {
  const polygons = placements.map((p) => laid(instance, p));
  let worst = 0;
  for (let i = 0; i < polygons.length; i++) {
    for (let j = 0; j < i; j++) worst = Math.max(worst, sharedArea(polygons[i]!, polygons[j]!));
  }
  return worst;
}

/** Least distance between two polygons that do not cross, vertex to edge both ways. */
export function clearance(a: readonly Vec[], b: readonly Vec[]): number {
  const oneWay = (p: readonly Vec[], q: readonly Vec[]) => {
    let least = Infinity;
    for (const [x, y] of p) {
      q.forEach(([ax, ay], i) => {
        const [bx, by] = q[(i + 1) % q.length]!;
        const squared = (bx - ax) ** 2 + (by - ay) ** 2;
        const t = Math.max(0, Math.min(1, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / squared));
        least = Math.min(least, Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)));
      });
    }
    return least;
  };
  return Math.min(oneWay(a, b), oneWay(b, a));
}
