import { InputError, suggest, underPath } from '../errors.js';
import { cubic, length, line, type Path, start } from '../geometry/path.js';
import { bounds } from '../geometry/polygon.js';
import { splineThrough } from '../geometry/spline.js';
import { distance, type Vec } from '../geometry/vec.js';
import {
  type Edge,
  type EdgeUse,
  edgeOf,
  type Notch,
  type Pattern,
  type Piece,
  type PointOfMeasure,
  pieceOf,
  pointsOf,
  type Seam,
} from '../pattern/model.js';
import { blockMeasures } from './block.js';
import { assertFold, assertLoop, assertOnce, assertPointsOnce } from './carried-checks.js';
import type {
  CarriedText,
  EdgeText,
  InternalText,
  NodeText,
  NotchText,
  PieceText,
  SeamText,
  StepText,
} from './carried-schema.js';

/** Points closer than this are one, mm. */
const SAME = 1e-3;
/** A grain drawn by hand may lean by this, degrees. */
const GRAIN_DEGREES = 1;

/**
 * The pattern that a style carries itself. Where pieces and points go by the names of `PIECE_ROLES`, the block's
 * points of measure are measured on it.
 *
 * @throws InputError at the dotted path inside the block: a point, edge or piece that is not there or is there
 *   twice, a loop that crosses itself or runs clockwise, a fold that is not upright at the left, a grain that
 *   does not run along the wales, a notch beyond its edge.
 */
export function carriedBlock(name: string, text: CarriedText): Pattern {
  const pieces = text.pieces.map((piece, i) => underPath(`pieces.${i}`, () => carriedPiece(piece)));
  assertOnce(pieces, 'piece', (i) => `pieces.${i}.name`);
  const pattern: Pattern = { name, pieces, seams: [], measures: [] };
  const seams = text.seams.map((seam, i) => underPath(`seams.${i}`, () => carriedSeam(pattern, seam)));
  assertOnce(seams, 'seam', (i) => `seams.${i}.name`);
  return { ...pattern, seams, measures: knownMeasures(pattern) };
}

/** Points of measure of a block whose pieces, edges and points a pattern has. */
export const knownMeasures = (pattern: Pattern): PointOfMeasure[] =>
  blockMeasures().filter(({ terms }) =>
    terms.every((term) => {
      const piece = pattern.pieces.find((p) => p.name === term.piece);
      if (!piece) return false;
      if (term.kind === 'edge') return piece.edges.some((edge) => edge.name === term.edge);
      const points = pointsOf(piece);
      return points.has(term.from) && points.has(term.to);
    }),
  );

function carriedPiece(text: PieceText): Piece {
  const points = new Map(Object.entries(text.points));
  const edges = text.edges.map((edge, i) =>
    underPath(`edges.${i}`, () =>
      carriedEdge(text.edges[(i + text.edges.length - 1) % text.edges.length]!.to, edge, points),
    ),
  );
  assertOnce(edges, 'edge', (i) => `edges.${i}.name`);
  assertPointsOnce(edges, points);
  const base: Piece = {
    name: text.name,
    edges,
    grain: { from: [0, 0], to: [0, 1] },
    notches: [],
    counts: text.counts,
    fabric: text.fabric,
    ...(text.stretch ? { stretch: text.stretch } : {}),
    ...(text.fold === undefined ? {} : { fold: text.fold }),
  };
  assertLoop(base);
  if (text.counts.asDrawn + text.counts.mirrored === 0) {
    throw new InputError(`piece '${text.name}' is cut no times`, { place: { path: 'counts' } });
  }
  if (text.fold !== undefined) underPath('fold', () => assertFold(base, text.fold!));
  const notches = text.notches.map((notch, i) =>
    underPath(`notches.${i}`, () => carriedNotch(base, notch, i)),
  );
  const internals = text.internals.map((internal, i) =>
    underPath(`internals.${i}`, () => ({ name: internal.name, path: internalPath(internal, points) })),
  );
  return {
    ...base,
    notches,
    ...(internals.length > 0 ? { internals } : {}),
    grain: underPath('grain', () => grainOf(base, text.grain)),
  };
}

function carriedEdge(from: string, text: EdgeText, points: ReadonlyMap<string, Vec>): Edge {
  const place = (node: NodeText, path: string) =>
    typeof node === 'string' ? named(node, points, path) : node;
  const a = named(from, points, 'to');
  const b = named(text.to, points, 'to');
  const marks: Record<string, number> = {};
  let path: Path;
  if (text.through) {
    const inner = text.through.map((node, i) => place(node, `through.${i}`));
    markNodes(marks, text.through);
    assertApart([a, ...inner, b], `edge '${text.name}'`);
    path = splineThrough([a, ...inner, b], {
      ...(text.leaving ? { start: text.leaving } : {}),
      ...(text.arriving ? { end: text.arriving } : {}),
    });
  } else if (text.path) {
    const steps = closedSteps(text.path, text.to, (node) => distance(place(node, 'path'), b) <= SAME);
    path = stepsPath(a, steps, place);
    markNodes(
      marks,
      steps.slice(0, -1).map(({ to }) => to),
    );
  } else {
    assertApart([a, b], `edge '${text.name}'`);
    path = [line(a, b)];
  }
  return {
    name: text.name,
    from,
    to: text.to,
    path,
    ...(Object.keys(marks).length > 0 ? { marks } : {}),
    ...(text.pointed ? { pointed: true } : {}),
  };
}

/** Steps that end at the edge's own point: a last one that says no end or another is led there. */
function closedSteps(
  steps: readonly StepText[],
  to: string,
  isEnd: (node: NodeText) => boolean,
): readonly PlacedStep[] {
  const open = steps.findIndex((step, i) => step.to === undefined && i < steps.length - 1);
  if (open >= 0) {
    throw new InputError('only the last curve of a path may leave its end out', {
      mend: "say where it ends with 'to'",
      place: { path: `path.${open}` },
    });
  }
  const placed = steps.map((step): PlacedStep => ({ step, to: step.to ?? to }));
  const last = placed[placed.length - 1]!;
  if (isEnd(last.to)) return [...placed.slice(0, -1), { ...last, to }];
  return [...placed, { step: { kind: 'line', to }, to }];
}

interface PlacedStep {
  readonly step: StepText;
  readonly to: NodeText;
}

function stepsPath(
  from: Vec,
  steps: readonly PlacedStep[],
  place: (node: NodeText, path: string) => Vec,
): Path {
  let here = from;
  return steps.map(({ step, to }, i) => {
    const there = place(to, `path.${i}`);
    const segment =
      step.kind === 'line' ? line(here, there) : cubic(here, step.handles[0], step.handles[1], there);
    if (distance(here, there) <= SAME && (step.kind === 'line' || length([segment]) <= SAME)) {
      throw new InputError('this step has no length', { place: { path: `path.${i}` } });
    }
    here = there;
    return segment;
  });
}

function internalPath(text: InternalText, points: ReadonlyMap<string, Vec>): Path {
  const steps = text.path.map((step, i) => {
    if (step.to !== undefined) return { step, to: step.to };
    throw new InputError('a curve of an internal line says where it ends', {
      mend: "give it a 'to'",
      place: { path: `path.${i}` },
    });
  });
  return stepsPath(text.from, steps, (node, path) =>
    typeof node === 'string' ? named(node, points, path) : node,
  );
}

function named(name: string, points: ReadonlyMap<string, Vec>, path: string): Vec {
  const point = points.get(name);
  if (point) return point;
  throw new InputError(`unknown point '${name}'`, {
    mend: `${suggest(name, [...points.keys()])} Points are listed under 'points'`,
    place: { path },
  });
}

/** Notes at which node of its edge each named point lies; the first node after the start is 1. */
function markNodes(marks: Record<string, number>, nodes: readonly NodeText[]): void {
  nodes.forEach((node, i) => {
    if (typeof node !== 'string') return;
    if (Object.hasOwn(marks, node)) throw new InputError(`the edge passes point '${node}' twice`);
    marks[node] = i + 1;
  });
}

function assertApart(nodes: readonly Vec[], what: string): void {
  for (let i = 0; i + 1 < nodes.length; i++) {
    if (distance(nodes[i]!, nodes[i + 1]!) > SAME) continue;
    throw new InputError(
      `${what} has two points in one place, (${nodes[i]!.map((k) => k.toFixed(1)).join(', ')}) mm`,
    );
  }
}

function grainOf(piece: Piece, grain: readonly [Vec, Vec] | undefined): Piece['grain'] {
  if (grain) {
    const [from, to] = grain;
    const degrees = (Math.atan2(Math.abs(to[0] - from[0]), Math.abs(to[1] - from[1])) * 180) / Math.PI;
    if (distance(from, to) > SAME && degrees <= GRAIN_DEGREES) return { from, to };
    throw new InputError(
      distance(from, to) > SAME
        ? `the grain of piece '${piece.name}' lies ${degrees.toFixed(1)} degrees off the wales`
        : `the grain of piece '${piece.name}' has no length`,
      { mend: 'turn the piece so that its grain runs along y' },
    );
  }
  const { minX, minY, maxX, maxY } = bounds(piece.edges.map((edge) => start(edge.path)));
  const x = (minX + maxX) / 2;
  return { from: [x, minY + (maxY - minY) / 4], to: [x, maxY - (maxY - minY) / 4] };
}

function carriedNotch(piece: Piece, text: NotchText, index: number): Notch {
  const edge = underPath('edge', () => edgeOf(piece, text.edge));
  if (edge.name === piece.fold) {
    throw new InputError('a notch cannot lie on the fold, which is not cut', { place: { path: 'edge' } });
  }
  const total = length(edge.path);
  if ('length' in text.at && text.at.length > total + SAME) {
    throw new InputError(
      `the notch lies at ${text.at.length.toFixed(1)} mm of '${edge.name}', which is ${total.toFixed(1)} mm long`,
      { place: { path: 'at' } },
    );
  }
  return { name: text.name ?? `notch-${index + 1}`, edge: edge.name, at: text.at, kind: text.kind };
}

function carriedSeam(pattern: Pattern, text: SeamText): Seam {
  const { name, ratio, tolerance } = text;
  const side = (uses: readonly string[], path: string) =>
    uses.map((use, i) => underPath(uses.length === 1 ? path : `${path}.${i}`, () => edgeUse(pattern, use)));
  return {
    name,
    left: side(text.left, 'left'),
    right: side(text.right, 'right'),
    ratio,
    plus: text.ease,
    tolerance,
    ...(text.easeUpTo === undefined ? {} : { easeUpTo: text.easeUpTo }),
  };
}

function edgeUse(pattern: Pattern, text: string): EdgeUse {
  const match = /^\s*(?:(\d{1,2})\s*x\s+)?([^.]+)\.([^.]+?)\s*$/.exec(text);
  if (!match) {
    throw new InputError(`'${text}' names no edge`, { mend: 'write front.shoulder, or 2 x front.neckline' });
  }
  const [, times, piece = '', edge = ''] = match;
  edgeOf(pieceOf(pattern, piece), edge);
  return { piece, edge, times: Number(times ?? 1) };
}
