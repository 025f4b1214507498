import type { Stage } from '../alter/recipe.js';
import { add, type Vec } from '../geometry/vec.js';
import type { Pattern } from '../pattern/model.js';
import type { Unit } from '../units.js';
import type { Lettering } from './drawing/shapes.js';
import { noteIndent, pictureRows, STEP_LETTERING, type StepPicture, stepPictures } from './drawing/steps.js';
import type { Pen } from './layers.js';
import { path, SvgSheet } from './svg-sheet.js';

export interface StepsDrawing {
  readonly title: string;
  readonly unit: Unit;
  /** Widest row of pictures, mm of the pattern. Default 4000. */
  readonly width?: number;
}

/** How a piece was and how it is: the first is told by its dashes, not by its colour alone. */
export const BEFORE: Pen = { width: 2.4, dash: [12, 9], colour: '#8a8a8a' };
export const AFTER: Pen = { width: 3.2, dash: [], colour: '#000000' };
export const INSIDE: Pen = { width: 1.6, dash: [9, 5, 2, 5], colour: '#595959' };

export const ARROW: Pen = { width: 1.6, dash: [], colour: '#000000' };

export const STEPS_NOTE =
  'Dashed and grey: before the step. Solid: after it. Only the pieces that a step changed.';

/**
 * A recipe as a strip of small pictures, one a step, to follow as on paper: each piece the step changed, before
 * and after, and what the step measured.
 */
export function stepsSvg(block: Pattern, stages: readonly Stage[], drawing: StepsDrawing): string {
  const pictures = stepPictures(block, stages, drawing.unit);
  const { width, height, places } = pictureRows(pictures, drawing.width ?? 4000);
  const sheet = new SvgSheet(
    { minX: 0, minY: 0, maxX: width, maxY: height },
    { title: `${drawing.title}: step by step`, description: STEPS_NOTE },
  );
  pictures.forEach((picture, i) => {
    sheet.group(picture.heading, () => drawPicture(sheet, picture, places[i]!));
  });
  return sheet.toString();
}

function drawPicture(sheet: SvgSheet, picture: StepPicture, at: Vec): void {
  const put = (points: readonly Vec[]) => points.map((p) => add(p, at));
  for (const piece of picture.pieces) {
    if (piece.before) sheet.path(path(put(piece.before), true), BEFORE);
    sheet.path(path(put(piece.after), true), AFTER);
    for (const line of piece.internals) sheet.path(path(put(line), false), INSIDE);
    for (const line of piece.arrow) sheet.path(path(put(line), false), ARROW);
    sheet.shapes([words(piece.name, add(piece.nameAt, at), STEP_LETTERING.name, 'middle')]);
  }
  const top = picture.height - STEP_LETTERING.heading;
  sheet.shapes([words(picture.heading, add([0, top], at), STEP_LETTERING.heading)]);
  const leading = STEP_LETTERING.note * STEP_LETTERING.leading;
  picture.notes.forEach((line, i) => {
    const y = top - STEP_LETTERING.heading - leading * (i + 0.5);
    const x = noteIndent(line);
    sheet.shapes([words(line.trimStart(), add([x, y], at), STEP_LETTERING.note)]);
  });
}

const words = (text: string, at: Vec, height: number, align: 'start' | 'middle' = 'start'): Lettering => ({
  kind: 'text',
  layer: 'NOTE',
  at,
  height,
  angle: 0,
  text,
  ...(align === 'start' ? { align } : {}),
});
