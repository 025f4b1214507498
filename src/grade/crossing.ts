import { CheckError } from '../errors.js';
import { flatten } from '../geometry/path.js';
import { selfCrossing, signedArea } from '../geometry/polygon.js';
import { cross, distance, lerp, samePoint, sub, type Vec } from '../geometry/vec.js';
import { type Piece, pointsOf } from '../pattern/model.js';

/** Chord error of the outline that is looked at, mm. */
const TOLERANCE = 0.5;

/**
 * Looks whether a piece's sewing line meets itself or has turned over.
 *
 * @param pathOf field of the style that moves a point, for the place of the error.
 * @throws CheckError naming the piece, the edges and the nearest named point.
 */
export function assertSimple(piece: Piece, pathOf: (point: string) => string = () => 'grade'): void {
  const { points, owners } = outline(piece);
  const pair = selfCrossing(points);
  if (pair) {
    const [first, second] = pair.map((i) => owners[i]!);
    const at = meeting(points, pair);
    const edges = first === second ? `'${first}'` : `'${first}' and '${second}'`;
    const point = nearestPoint(piece, at);
    throw new CheckError(
      `piece '${piece.name}' crosses itself at ${edges}, near '${point}' (${at[0].toFixed(1)}, ${at[1].toFixed(1)})`,
      {
        mend: 'look at the increments and rules that move this point and its neighbours',
        place: { path: pathOf(point) },
      },
    );
  }
  if (signedArea(points) <= 0) {
    throw new CheckError(`piece '${piece.name}' has turned over: its edges run clockwise`, {
      mend: 'look at the increments of its widths and lengths',
      place: { path: 'grade' },
    });
  }
}

/** Vertices of the outline, neighbours apart, and the edge each one starts on. */
function outline(piece: Piece): { points: Vec[]; owners: string[] } {
  const points: Vec[] = [];
  const owners: string[] = [];
  for (const edge of piece.edges) {
    for (const point of flatten(edge.path, TOLERANCE).slice(0, -1)) {
      if (points.length > 0 && samePoint(points[points.length - 1]!, point)) continue;
      points.push(point);
      owners.push(edge.name);
    }
  }
  return { points, owners };
}

/** Where two sides of the outline meet; the start of the second where they lie along each other. */
function meeting(points: readonly Vec[], [i, j]: readonly [number, number]): Vec {
  const [a, b] = [points[i]!, points[(i + 1) % points.length]!];
  const [c, d] = [points[j]!, points[(j + 1) % points.length]!];
  const turn = cross(sub(b, a), sub(d, c));
  if (Math.abs(turn) < 1e-9) return c;
  const share = cross(sub(c, a), sub(d, c)) / turn;
  return lerp(a, b, Math.min(1, Math.max(0, share)));
}

function nearestPoint(piece: Piece, at: Vec): string {
  const [nearest] = [...pointsOf(piece)].sort(([, a], [, b]) => distance(a, at) - distance(b, at));
  return nearest![0];
}
