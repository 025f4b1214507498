import type { Stage } from '../../alter/recipe.js';
import { flatten } from '../../geometry/path.js';
import { type Box, bounds, type Polygon } from '../../geometry/polygon.js';
import { add, distance, lerp, rotate, scale, sub, unit, type Vec } from '../../geometry/vec.js';
import type { Pattern, Piece, Stretch } from '../../pattern/model.js';
import { formatLength, type Unit } from '../../units.js';
import { partsInside } from './lines.js';

/** One piece before and after a step, in the frame of its picture; mm, y up. */
export interface StepPiece {
  readonly name: string;
  /** Missing for a piece that the step made. */
  readonly before?: readonly Vec[];
  readonly after: readonly Vec[];
  readonly internals: readonly (readonly Vec[])[];
  /** The direction of greatest stretch, where the step marked it: line and heads. */
  readonly arrow: readonly (readonly Vec[])[];
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
const UNCHANGED = 'no outline changed';
/** Heads of an arrow in a picture, mm of the pattern, and half their angle. */
const ARROW_HEAD = 22;
const ARROW_ANGLE = Math.PI / 8;

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
  lengths: Unit,
): StepPicture {
  const all = after.pieces.map((piece) => ({
    piece,
    old: before?.pieces.find((p) => p.name === piece.name),
  }));
  const changed = all.filter(({ piece, old }) => !old || !sameDrawing(piece, old));
  const shown = before === undefined || changed.length === 0 ? all : changed;
  const said = notes.flatMap((note) => [
    note.subject,
    ...note.values.map((value) => `   ${value.name} ${formatLength(value.mm, lengths)}`),
  ]);
  const marked = shown.filter(({ piece, old }) => before !== undefined && isMarked(piece, old));
  said.push(...new Set(marked.map(({ piece }) => stretchNote(piece.stretch!))));
  if (before !== undefined && changed.length === 0 && marked.length === 0) said.push(UNCHANGED);
  const lines = said.length > MOST_NOTES ? [...said.slice(0, MOST_NOTES - 1), '   ...'] : said;

  let x = 0;
  const pieces: StepPiece[] = [];
  const rings = shown.map(({ piece, old }) => {
    const own = outline(piece);
    const was = old && before !== undefined ? outline(old) : undefined;
    const box = bounds([...own, ...(was ?? []), ...internalsOf(piece).flat()]);
    const arrow = before !== undefined && isMarked(piece, old) ? arrowIn(own, piece.stretch!) : [];
    return { piece, own, was: was && !sameRing(was, own) ? was : undefined, arrow, box };
  });
  const tallest = Math.max(...rings.map(({ box }) => box.maxY - box.minY));
  for (const { piece, own, was, arrow, box } of rings) {
    const by: Vec = [x - box.minX, NAME_ROOM - box.minY + (tallest - height(box)) / 2];
    const put = (points: readonly Vec[]) => points.map((p) => add(p, by));
    pieces.push({
      name: piece.name,
      after: put(own),
      ...(was ? { before: put(was) } : {}),
      internals: internalsOf(piece).map(put),
      arrow: arrow.map(put),
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

const isMarked = ({ stretch }: Piece, old: Piece | undefined): boolean =>
  stretch !== undefined && (stretch.along !== old?.stretch?.along || stretch.percent !== old.stretch.percent);

const stretchNote = ({ along, percent }: Stretch): string =>
  `stretch ${Number(percent.toFixed(1))} % along the ${along}s`;

/** An arrow with two heads through the middle of an outline, as long as half of what lies inside it there. */
function arrowIn(ring: Polygon, { along }: Stretch): Vec[][] {
  const { minX, minY, maxX, maxY } = bounds(ring);
  const [x, y] = [(minX + maxX) / 2, (minY + maxY) / 2];
  const across: Vec[] =
    along === 'course'
      ? [
          [minX, y],
          [maxX, y],
        ]
      : [
          [x, minY],
          [x, maxY],
        ];
  const inside = partsInside(across, ring).reduce<readonly Vec[]>(
    (best, part) => (best.length === 0 || span(part) > span(best) ? part : best),
    [],
  );
  if (inside.length < 2) return [];
  const [a, b] = [0.25, 0.75].map((t) => lerp(inside[0]!, inside.at(-1)!, t)) as [Vec, Vec];
  const size = Math.min(ARROW_HEAD, distance(a, b) / 4);
  const head = (tip: Vec, from: Vec): Vec[] => {
    const back = scale(unit(sub(from, tip)), size);
    return [add(tip, rotate(back, ARROW_ANGLE)), tip, add(tip, rotate(back, -ARROW_ANGLE))];
  };
  return [[a, b], head(a, b), head(b, a)];
}

const span = (part: readonly Vec[]): number => distance(part[0]!, part.at(-1)!);

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
