import type { Stage } from '../../alter/recipe.js';
import { flatten } from '../../geometry/path.js';
import { type Box, bounds } from '../../geometry/polygon.js';
import { add, type Vec } from '../../geometry/vec.js';
import type { Pattern, Piece } from '../../pattern/model.js';
import { formatLength, type Unit } from '../../units.js';

/** One piece before and after a step, in the frame of its picture; mm, y up. */
export interface StepPiece {
  readonly name: string;
  /** Missing for a piece that the step made. */
  readonly before?: readonly Vec[];
  readonly after: readonly Vec[];
  readonly internals: readonly (readonly Vec[])[];
  /** Below the piece, where its name is centred. */
  readonly nameAt: Vec;
}

/** What one step did: the pieces it changed, before and after. */
export interface StepPicture {
  readonly heading: string;
  /** What the step measured, a line each. */
  readonly notes: readonly string[];
  readonly pieces: readonly StepPiece[];
  readonly width: number;
  readonly height: number;
  /** Room of the pieces above the picture's lower edge; heading and notes stand above. */
  readonly piecesHeight: number;
}

/** Heights of capitals and distances in a picture, mm of the pattern. */
export const STEP_LETTERING = { heading: 26, note: 18, name: 18, leading: 1.9 } as const;

const FLATTEN = 0.3;
const GAP = 45;
const LEAST_WIDTH = 620;
const NAME_ROOM = 55;
/** A picture shows so many notes at the most. */
const MOST_NOTES = 10;
const SAME = 1e-6;

/**
 * A small picture for the block and for every step of a recipe: each piece that the step changed, as it was and
 * as it is, and what the step measured. A step that changed no outline shows the whole pattern.
 */
export function stepPictures(block: Pattern, stages: readonly Stage[], unit: Unit): StepPicture[] {
  const first = picture('the block', [], undefined, block, unit);
  const rest = stages.map((stage, i) => {
    const before = i === 0 ? block : stages[i - 1]!.pattern;
    return picture(`${i + 1} ${stage.step}`, stage.notes, before, stage.pattern, unit);
  });
  return [first, ...rest];
}

/** Pictures in rows no wider than `width` unless one alone is; places are lower left corners, y up. */
export function pictureRows(
  pictures: readonly StepPicture[],
  width: number,
): { readonly width: number; readonly height: number; readonly places: readonly Vec[] } {
  const rows: StepPicture[][] = [];
  let across = 0;
  for (const one of pictures) {
    const row = rows[rows.length - 1];
    if (row && across + 2 * GAP + one.width <= width) {
      row.push(one);
      across += 2 * GAP + one.width;
    } else {
      rows.push([one]);
      across = one.width;
    }
  }
  const heights = rows.map((row) => Math.max(...row.map((one) => one.height)) + 2 * GAP);
  const height = heights.reduce((sum, h) => sum + h, 0);
  const places: Vec[] = [];
  let top = height;
  let widest = 0;
  rows.forEach((row, r) => {
    let x = GAP;
    for (const one of row) {
      places.push([x, top - GAP - one.height]);
      x += one.width + 2 * GAP;
    }
    widest = Math.max(widest, x - GAP);
    top -= heights[r]!;
  });
  return { width: widest, height, places };
}

function picture(
  heading: string,
  notes: Stage['notes'],
  before: Pattern | undefined,
  after: Pattern,
  unit: Unit,
): StepPicture {
  const all = after.pieces.map((piece) => ({
    piece,
    old: before?.pieces.find((p) => p.name === piece.name),
  }));
  const changed = all.filter(({ piece, old }) => !old || !sameDrawing(piece, old));
  const shown = before === undefined || changed.length === 0 ? all : changed;
  const said = notes.flatMap((note) => [
    note.subject,
    ...note.values.map((value) => `   ${value.name} ${formatLength(value.mm, unit)}`),
  ]);
  const lines = said.length > MOST_NOTES ? [...said.slice(0, MOST_NOTES - 1), '   ...'] : said;

  let x = 0;
  const pieces: StepPiece[] = [];
  const rings = shown.map(({ piece, old }) => {
    const own = outline(piece);
    const was = old && before !== undefined ? outline(old) : undefined;
    const box = bounds([...own, ...(was ?? []), ...internalsOf(piece).flat()]);
    return { piece, own, was: was && !sameRing(was, own) ? was : undefined, box };
  });
  const tallest = Math.max(...rings.map(({ box }) => box.maxY - box.minY));
  for (const { piece, own, was, box } of rings) {
    const by: Vec = [x - box.minX, NAME_ROOM - box.minY + (tallest - height(box)) / 2];
    const put = (points: readonly Vec[]) => points.map((p) => add(p, by));
    pieces.push({
      name: piece.name,
      after: put(own),
      ...(was ? { before: put(was) } : {}),
      internals: internalsOf(piece).map(put),
      nameAt: [x + (box.maxX - box.minX) / 2, NAME_ROOM / 3],
    });
    x += Math.max(box.maxX - box.minX, piece.name.length * STEP_LETTERING.name) + GAP;
  }
  const piecesHeight = tallest + NAME_ROOM;
  const words =
    (1 + lines.length) * STEP_LETTERING.note * STEP_LETTERING.leading + 2 * STEP_LETTERING.heading;
  return {
    heading,
    notes: lines,
    pieces,
    width: Math.max(LEAST_WIDTH, x - GAP),
    height: piecesHeight + words,
    piecesHeight,
  };
}

/** How far a note is set in, mm of the pattern: by its leading spaces, which drawings do not keep. */
export const noteIndent = (line: string): number =>
  (line.length - line.trimStart().length) * STEP_LETTERING.note * 0.4;

const height = ({ minY, maxY }: Box): number => maxY - minY;

const outline = (piece: Piece): Vec[] =>
  piece.edges.flatMap((edge) => flatten(edge.path, FLATTEN).slice(0, -1));

const internalsOf = (piece: Piece): Vec[][] =>
  (piece.internals ?? []).map((internal) => flatten(internal.path, FLATTEN));

const sameDrawing = (a: Piece, b: Piece): boolean =>
  sameRing(outline(a), outline(b)) && sameRing(internalsOf(a).flat(), internalsOf(b).flat());

const sameRing = (a: readonly Vec[], b: readonly Vec[]): boolean =>
  a.length === b.length &&
  a.every((p, i) => Math.abs(p[0] - b[i]![0]) < SAME && Math.abs(p[1] - b[i]![1]) < SAME);
