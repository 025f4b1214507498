import { CheckError } from '../errors.js';
import { flatten } from '../geometry/path.js';
import { selfCrossing, signedArea } from '../geometry/polygon.js';
import { distance, samePoint, type Vec } from '../geometry/vec.js';
import { type Piece, pointsOf } from '../pattern/model.js';

/** Chord error of the outline that is looked at, mm. */
const TOLERANCE = 0.5;

/**
 * Looks whether a piece's sewing line meets itself or has turned over.
 *
 * @throws CheckError naming the piece, the edges and the nearest named point.
 */
export function assertSimple(piece: Piece): void {
  const { points, owners } = outline(piece);
  const pair = selfCrossing(points);
  if (pair) {
    const [first, second] = pair.map((i) => owners[i]!);
    const at = points[pair[1]]!;
    const edges = first === second ? `'${first}'` : `'${first}' and '${second}'`;
    throw new CheckError(
      `piece '${piece.name}' crosses itself at ${edges}, near '${nearestPoint(piece, at)}' (${at[0].toFixed(1)}, ${at[1].toFixed(1)})`,
      { mend: 'look at the increments that move this point and its neighbours' },
    );
  }
  if (signedArea(points) <= 0) {
    throw new CheckError(`piece '${piece.name}' has turned over: its edges run clockwise`, {
      mend: 'look at the increments of its widths and lengths',
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

function nearestPoint(piece: Piece, at: Vec): string {
  const [nearest] = [...pointsOf(piece)].sort(([, a], [, b]) => distance(a, at) - distance(b, at));
  return nearest![0];
}
