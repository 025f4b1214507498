import { PIECE_ROLES, type PieceRole, RECTANGLE } from '../../draft/carried-roles.js';
import { end, length, type Path, splitAt, start } from '../../geometry/path.js';
import { distance } from '../../geometry/vec.js';
import type { Edge } from '../../pattern/model.js';
import type { Edges } from './edges.js';
import type { FoundPiece } from './found.js';
import { LABEL_REACH, type Label, labelsOf } from './labels.js';
import { nearestOn } from './near-path.js';

/** Named edges of a piece. */
export interface Named {
  readonly edges: readonly Edge[];
  /** Whether the names are those that alterations and increments go by. */
  readonly role: boolean;
  /** Whether they are names at all, and not numbers. */
  readonly known: boolean;
  readonly notes: readonly string[];
}

/** A corner that turns by less may be left out of the roles and stay inside its edge, degrees. */
const SOFT_CORNER = 50;

/**
 * Names for corners and edges. A back or front on
 * the fold with six corners, and a whole sleeve with four and its crown, get the names that alterations go by, in the
 * order in which they follow each other; so do level rectangles, such as bands. Every other piece gets numbers.
 */
export function nameEdges(piece: FoundPiece, edges: Edges): Named {
  const role = PIECE_ROLES[piece.name];
  const labels = labelsOf(piece);
  if (role && piece.name === 'sleeve') return sleeveNames(piece, edges, role, labels);
  if (role) return bodyNames(edges, role, labels, piece.name);
  const corners = rectangle(edges);
  if (corners) return { edges: corners, role: false, known: true, notes: [] };
  return { edges: numbered(edges), role: false, known: false, notes: [] };
}

/** Sides of a rectangle lie level and upright within this, mm. */
const LEVEL = 0.2;

/** The edges of a level rectangle from its lower left corner; undefined for any other piece. */
function rectangle({ paths, fold }: Edges): Edge[] | undefined {
  if (fold || paths.length !== 4 || paths.some((path) => path.some((s) => s.kind !== 'line')))
    return undefined;
  const [minX, minY] = [0, 1].map((k) => Math.min(...paths.map((path) => start(path)[k]!))) as [
    number,
    number,
  ];
  const first = paths.findIndex((path) => distance(start(path), [minX, minY]) <= LEVEL);
  if (first < 0) return undefined;
  const ordered = paths.map((_, i) => paths[(first + i) % 4]!);
  const level = ordered.every((path, i) => {
    const along = i % 2 === 0 ? 1 : 0;
    return (
      path.every((s) => Math.abs(s.a[along] - start(path)[along]) <= LEVEL) &&
      Math.abs(end(path)[along] - start(path)[along]) <= LEVEL
    );
  });
  return level ? ordered.map((path, i) => roleEdge(RECTANGLE, i, path)) : undefined;
}

function bodyNames(edges: Edges, role: PieceRole, labels: readonly Label[], name: string): Named {
  const plain = (why: string): Named => ({
    edges: numbered(edges),
    role: false,
    known: false,
    notes: [
      `${why}, so its points have numbers: rename them in the style (${role.points.join(', ')}) before a recipe works on it`,
    ],
  });
  if (!edges.fold) return plain(`no fold was found on '${name}'`);
  // Counter-clockwise from the lower end of the fold.
  const paths = [...edges.paths.slice(1), edges.paths[0]!];
  const turns = [...edges.turns.slice(1), edges.turns[0]!];
  const kept = keepHardest(paths, turns, role.points.length);
  if (!kept) return plain(`'${name}' has ${paths.length} corners where ${role.points.length} are known`);
  const named = kept.map((path, i): Edge => roleEdge(role, i, path));
  return { edges: withLabels(named, labels, role), role: true, known: true, notes: [] };
}

/** As many edges as there are names: the softest corners are passed over and stay inside their edges. */
function keepHardest(paths: readonly Path[], turns: readonly number[], count: number): Path[] | undefined {
  if (paths.length < count) return undefined;
  const soft = turns
    .map((turn, i) => ({ i, turn: Math.abs(turn) }))
    // The ends of the fold always are corners.
    .filter(({ i }) => i !== 0 && i !== turns.length - 1)
    .sort((a, b) => a.turn - b.turn)
    .slice(0, paths.length - count);
  if (soft.some(({ turn }) => turn >= SOFT_CORNER)) return undefined;
  const passed = new Set(soft.map(({ i }) => i));
  const kept: Path[] = [];
  paths.forEach((path, i) => {
    if (passed.has(i)) kept[kept.length - 1] = [...kept[kept.length - 1]!, ...path];
    else kept.push(path);
  });
  return kept;
}

const roleEdge = (role: PieceRole, i: number, path: Path): Edge => ({
  name: role.edges[i]!,
  from: role.points[i]!,
  to: role.points[(i + 1) % role.points.length]!,
  path,
});

function sleeveNames(piece: FoundPiece, edges: Edges, role: PieceRole, labels: readonly Label[]): Named {
  const paths = edges.paths;
  const notes: string[] = [];
  const plain = (why: string): Named => ({
    edges: numbered(edges),
    role: false,
    known: false,
    notes: [
      `${why}, so the points of the sleeve have numbers: rename them in the style (${role.points.join(', ')})`,
    ],
  });
  if (paths.length !== role.points.length)
    return plain(`the sleeve has ${paths.length} corners where ${role.points.length} are known`);
  // The lower end is the edge whose middle lies lowest.
  const middle = (path: Path) => (start(path)[1] + end(path)[1]) / 2;
  const wrist = paths.reduce((low, path, i) => (middle(path) < middle(paths[low]!) ? i : low), 0);
  const ordered = [...paths.slice(wrist), ...paths.slice(0, wrist)];
  const named = ordered.map((path, i) => roleEdge(role, i, path));
  if (!piece.notches.some((n) => n.kind === 'double')) {
    notes.push(
      'the front of the sleeve is taken to be at its right; if it is not, mirror the sleeve in the drawing',
    );
  }
  return { edges: withLabels(named, labels, role), role: true, known: true, notes };
}

function numbered(edges: Edges): Edge[] {
  const count = edges.paths.length;
  const name = (i: number) => `p${(i % count) + 1}`;
  return edges.paths.map((path, i) => ({
    name: edges.fold && i === 0 ? 'fold' : `edge-${edges.fold ? i : i + 1}`,
    from: name(i),
    to: name(i + 1),
    path,
  }));
}

/** Labels between corners name points of the edge they stand at: where all corners have their names, a waist. */
function withLabels(edges: readonly Edge[], labels: readonly Label[], role: PieceRole): Edge[] {
  let named = [...edges];
  for (const { name, at } of labels) {
    if (role.points.includes(name)) continue;
    const near = named.map((e) => ({ e, ...nearestOn(e.path, at) })).sort((a, b) => a.off - b.off)[0]!;
    if (near.off > LABEL_REACH) continue;
    named = named.map((e) => (e === near.e ? withMark(e, name, near.at) : e));
  }
  return named;
}

/** A node this near is the point itself, mm. */
const AT_NODE = 0.05;
/** Points nearer to a corner than this are not told from it, mm. */
const LEAST_PART = 0.5;

/** The edge with a named point at an arc length, mm: a node of its chain, put in where there is none. */
export function withMark(edge: Edge, name: string, at: number): Edge {
  const total = length(edge.path);
  if (at <= LEAST_PART || at >= total - LEAST_PART) return edge;
  let along = 0;
  for (let node = 1; node < edge.path.length; node++) {
    along += length([edge.path[node - 1]!]);
    if (Math.abs(along - at) > AT_NODE) continue;
    if (Object.values(edge.marks ?? {}).includes(node)) return edge;
    return { ...edge, marks: { ...edge.marks, [name]: node } };
  }
  const [head, tail] = splitAt(edge.path, at);
  const node = head.length;
  const marks = Object.entries(edge.marks ?? {}).map(([key, n]) => [key, n >= node ? n + 1 : n]);
  return { ...edge, path: [...head, ...tail], marks: { ...Object.fromEntries(marks), [name]: node } };
}
