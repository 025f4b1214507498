import { flatten } from '../geometry/path.js';
import { bounds } from '../geometry/polygon.js';
import { add, type Vec } from '../geometry/vec.js';
import { edgeOf, type Pattern, type Piece } from '../pattern/model.js';
import type { Lettering } from './drawing/shapes.js';
import { path, SvgSheet } from './svg-sheet.js';

/** What to point at on a piece: a whole edge, a place, or a place on an edge; mm. */
export interface FaultMark {
  readonly piece: string;
  readonly edge?: string;
  readonly at?: readonly [number, number];
  /** Number that a table beside the drawing explains. */
  readonly number: number;
}

const GAP = 60;
const FLATTEN = 0.3;
const RING = 14;
const LETTERS = 22;
/** Vermilion of the colour-blind-safe set; a fault is drawn thicker too, and numbered. */
const FAULT = '#d55e00';
const OUTLINE = { width: 1.6, dash: [], colour: '#000000' } as const;

/** The pieces that something is wrong with, side by side, each fault thick and numbered. */
export function faultsSvg(pattern: Pattern, marks: readonly FaultMark[], title: string): string {
  const pieces = pattern.pieces.filter((piece) => marks.some((mark) => mark.piece === piece.name));
  let x = GAP;
  const placed = pieces.map((piece) => {
    const box = bounds(outline(piece));
    const by: Vec = [x - box.minX, GAP + LETTERS * 2 - box.minY];
    x += box.maxX - box.minX + GAP * 1.6;
    return { piece, by, middle: (box.minX + box.maxX) / 2 + by[0], top: box.maxY + by[1] };
  });
  const height = Math.max(...placed.map((p) => p.top), 1) + GAP;
  const sheet = new SvgSheet(
    { minX: 0, minY: 0, maxX: Math.max(x, GAP), maxY: height },
    { title, description: 'Thick lines and rings, numbered: what the check found.' },
  );
  for (const { piece, by, middle } of placed) {
    sheet.group(piece.name, () => {
      sheet.path(
        path(
          outline(piece).map((p) => add(p, by)),
          true,
        ),
        OUTLINE,
      );
      sheet.shapes([words(piece.name, [middle, GAP / 2 + LETTERS / 2])]);
      const own = marks.filter((mark) => mark.piece === piece.name);
      for (const [i, mark] of own.entries()) drawMark(sheet, piece, mark, by, i);
    });
  }
  return sheet.toString();
}

function drawMark(sheet: SvgSheet, piece: Piece, mark: FaultMark, by: Vec, index: number): void {
  let label: Vec | undefined;
  if (mark.edge !== undefined) {
    const points = flatten(edgeOf(piece, mark.edge).path, FLATTEN).map((p) => add(p, by));
    if (!mark.at) sheet.path(path(points, false), { width: 6, dash: [], colour: FAULT });
    label = points[Math.floor(points.length / 2)];
    if (points.length === 2)
      label = [(points[0]![0] + points[1]![0]) / 2, (points[0]![1] + points[1]![1]) / 2];
  }
  if (mark.at) {
    const at = add(mark.at, by);
    const ring = Array.from({ length: 24 }, (_, k): Vec => {
      const turn = (k * Math.PI) / 12;
      return [at[0] + RING * Math.cos(turn), at[1] + RING * Math.sin(turn)];
    });
    sheet.path(path(ring, true), { width: 4, dash: [], colour: FAULT });
    label = at;
  }
  // Numbers of several faults on one edge stand beside each other.
  if (label) sheet.shapes([words(String(mark.number), add(label, [RING + LETTERS * (1 + index * 1.2), 0]))]);
}

const outline = (piece: Piece): Vec[] =>
  piece.edges.flatMap((edge) => flatten(edge.path, FLATTEN).slice(0, -1));

const words = (text: string, at: Vec): Lettering => ({
  kind: 'text',
  layer: 'NOTE',
  at,
  height: LETTERS,
  angle: 0,
  text,
});
