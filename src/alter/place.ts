import { z } from 'zod';
import { CheckError, InputError } from '../errors.js';
import { crossings, length, lengthTo, type Path, pointAt } from '../geometry/path.js';
import { distance, type Vec } from '../geometry/vec.js';
import { type Edge, edgeOf, type Piece, pointsOf } from '../pattern/model.js';
import { parseLength, type Unit } from '../units.js';

/** A place on an outline as a recipe names it. */
export type PlaceRef =
  | { readonly kind: 'ratio'; readonly edge: string; readonly ratio: number }
  | { readonly kind: 'length'; readonly edge: string; readonly length: number }
  /** A named point, or an edge that a line along the grain will meet. */
  | { readonly kind: 'name'; readonly name: string };

/** `shoulder at 50%`, `hem at 3 1/2`, `waist`, `hem`; distances run from the edge's start. */
export function placeField(unit: Unit) {
  return z.string().transform((text, context): PlaceRef => {
    const match = /^([a-z][\w-]*)(?:\s+at\s+(.+))?$/i.exec(text.trim());
    if (!match) {
      context.addIssue({ code: 'custom', message: `'${text}' names no place: write 'shoulder at 50%'` });
      return z.NEVER;
    }
    const [, name, where] = match;
    if (!where) return { kind: 'name', name: name! };
    const percent = /^(\d+\.?\d*)\s*%$/.exec(where);
    if (percent) {
      const ratio = Number(percent[1]) / 100;
      if (ratio <= 1) return { kind: 'ratio', edge: name!, ratio };
      context.addIssue({ code: 'custom', message: `'${where}' is beyond the end of the edge` });
      return z.NEVER;
    }
    try {
      return { kind: 'length', edge: name!, length: parseLength(where, unit) };
    } catch (error) {
      context.addIssue({ code: 'custom', message: (error as InputError).message });
      return z.NEVER;
    }
  });
}

/** A place found on a piece: on `edge`, `at` mm of arc length from its start. */
export interface Place {
  readonly edge: Edge;
  readonly at: number;
  readonly point: Vec;
}

/**
 * Finds a place. A bare edge name needs `below`: the place is where the grain line through that point meets
 * the edge.
 *
 * @throws InputError for an unknown name, CheckError where the edge is too short or not met.
 */
export function findPlace(piece: Piece, ref: PlaceRef, below?: Vec): Place {
  if (ref.kind === 'ratio') return onEdge(piece, ref.edge, (size) => size * ref.ratio);
  if (ref.kind === 'length') return onEdge(piece, ref.edge, () => ref.length);
  const point = pointsOf(piece).get(ref.name);
  if (point) return namedPoint(piece, ref.name);
  const edge = edgeOf(piece, ref.name);
  if (!below) {
    throw new InputError(`'${ref.name}' is an edge: say where on it`, { mend: `write '${ref.name} at 50%'` });
  }
  const met = crossings(edge.path, below, [0, 1])[0];
  if (!met) {
    throw new CheckError(`the grain line through the start of the cut does not meet edge '${ref.name}'`, {
      mend: `say where: '${ref.name} at 50%'`,
    });
  }
  return { edge, at: met.at, point: met.point };
}

function onEdge(piece: Piece, name: string, where: (size: number) => number): Place {
  const edge = edgeOf(piece, name);
  const size = length(edge.path);
  const at = where(size);
  if (at < 0 || at > size + 1e-9) {
    throw new CheckError(`edge '${name}' is ${size.toFixed(1)} mm long: ${at.toFixed(1)} mm is not on it`);
  }
  return { edge, at, point: pointAt(edge.path, at) };
}

function namedPoint(piece: Piece, name: string): Place {
  for (const edge of piece.edges) {
    if (edge.from === name) return { edge, at: 0, point: pointAt(edge.path, 0) };
    const node = edge.marks?.[name];
    if (node !== undefined) {
      const at = lengthTo(edge.path, node - 1, 1);
      return { edge, at, point: edge.path[node - 1]!.b };
    }
  }
  throw new InputError(`piece '${piece.name}' has no point '${name}'`);
}

const SAMPLES = 256;

/** Arc length at which a path comes nearest to a point, mm. */
export function nearestAt(path: Path, point: Vec): number {
  const total = length(path);
  const step = total / SAMPLES;
  const off = (at: number) => distance(pointAt(path, at), point);
  let best = 0;
  for (let k = 1; k <= SAMPLES; k++) if (off(k * step) < off(best)) best = k * step;
  let [low, high] = [Math.max(0, best - step), Math.min(total, best + step)];
  while (high - low > 1e-7) {
    const third = (high - low) / 3;
    if (off(low + third) <= off(high - third)) high -= third;
    else low += third;
  }
  return (low + high) / 2;
}
