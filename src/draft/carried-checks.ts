import { InputError } from '../errors.js';
import { end, flatten, start } from '../geometry/path.js';
import { selfCrossing, signedArea } from '../geometry/polygon.js';
import type { Vec } from '../geometry/vec.js';
import { type Edge, edgeOf, type Piece } from '../pattern/model.js';
import { MOST_COORDINATE } from './carried-schema.js';

/** Flattening tolerance of the self-crossing check, mm. */
const CHECK_TOLERANCE = 0.2;
/** A fold may lean by rounding only, mm. */
const UPRIGHT = 1e-3;

/** A point belongs to one place of the loop; one that no edge meets is a slip. */
export function assertPointsOnce(edges: readonly Edge[], points: ReadonlyMap<string, Vec>): void {
  const met = new Set<string>();
  edges.forEach((edge, i) => {
    for (const name of [...Object.keys(edge.marks ?? {}), edge.to]) {
      if (met.has(name)) {
        throw new InputError(`the outline passes point '${name}' twice`, { place: { path: `edges.${i}` } });
      }
      met.add(name);
    }
  });
  const idle = [...points.keys()].find((name) => !met.has(name));
  if (idle === undefined) return;
  throw new InputError(`no edge meets the point '${idle}'`, {
    mend: 'take it out, or let an edge end at it or go through it',
    place: { path: `points.${idle}` },
  });
}

export function assertLoop(piece: Piece): void {
  const owners: string[] = [];
  const outline = piece.edges.flatMap((edge) => {
    const vertices = flatten(edge.path, CHECK_TOLERANCE).slice(0, -1);
    owners.push(...vertices.map(() => edge.name));
    return vertices;
  });
  const far = outline.find((p) => p.some((k) => !(Math.abs(k) <= 2 * MOST_COORDINATE)));
  if (far) throw new InputError(`a curve of piece '${piece.name}' goes beyond ${MOST_COORDINATE} mm`);
  const crossing = selfCrossing(outline);
  if (crossing) {
    const [i, j] = crossing;
    const [x, y] = outline[i]!;
    throw new InputError(
      `piece '${piece.name}' crosses itself: '${owners[i]}' meets '${owners[j]}' near (${x.toFixed(0)}, ${y.toFixed(0)}) mm`,
      { mend: 'look at the points of these edges', place: { path: 'edges' } },
    );
  }
  if (signedArea(outline) > 0) return;
  throw new InputError(`the edges of piece '${piece.name}' run clockwise`, {
    mend: 'list them the other way round, counter-clockwise',
    place: { path: 'edges' },
  });
}

export function assertFold(piece: Piece, name: string): void {
  const { path } = edgeOf(piece, name);
  const x = start(path)[0];
  const upright = path.every((s) => s.kind === 'line' && Math.abs(s.b[0] - x) <= UPRIGHT);
  if (!upright) {
    throw new InputError(`the fold '${name}' of piece '${piece.name}' is not straight along the wales`, {
      mend: 'turn the piece so that its fold stands upright, both ends at one x',
    });
  }
  if (start(path)[1] > end(path)[1]) return;
  throw new InputError(`the half piece '${piece.name}' lies left of its fold`, {
    mend: 'draw the half to the right of the fold',
  });
}

export function assertOnce(
  list: readonly { readonly name: string }[],
  kind: string,
  path: (i: number) => string,
): void {
  const twice = list.findIndex(({ name }, i) => list.findIndex((other) => other.name === name) !== i);
  if (twice < 0) return;
  throw new InputError(`there are two ${kind}s named '${list[twice]!.name}'`, {
    place: { path: path(twice) },
  });
}
