import { line, splitAt, start, startDirection } from '../geometry/path.js';
import { cross, scale, sub, type Vec } from '../geometry/vec.js';
import type { Edge } from '../pattern/model.js';

/** An edge moved by less than this keeps its shape, mm: a segment without length has no direction. */
const NOTHING = 1e-6;

/** The edge with `by` mm of arc length cut off its start; marks keep their nodes. */
export function trimStart(edge: Edge, by: number): Edge {
  if (Math.abs(by) < NOTHING) return edge;
  const path = splitAt(edge.path, by)[1];
  return { ...edge, path, ...shiftedMarks(edge, path.length - edge.path.length) };
}

/** The edge run on straight by `by` mm before its start, against `along` (its own direction there by default). */
export function extendStart(edge: Edge, by: number, along: Vec = startDirection(edge.path)): Edge {
  if (Math.abs(by) < NOTHING) return edge;
  const from = sub(start(edge.path), scale(along, by));
  const [first, ...rest] = edge.path;
  const runsOn = Math.abs(cross(startDirection(edge.path), along)) < 1e-9;
  if (first?.kind === 'line' && runsOn) return { ...edge, path: [line(from, first.b), ...rest] };
  return { ...edge, path: [line(from, start(edge.path)), ...edge.path], ...shiftedMarks(edge, 1) };
}

function shiftedMarks(edge: Edge, by: number): Pick<Edge, 'marks'> {
  if (!edge.marks) return {};
  const marks = Object.entries(edge.marks).map(([name, node]) => [name, node + by] as const);
  return { marks: Object.fromEntries(marks) };
}
