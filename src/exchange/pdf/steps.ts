import type { Stage } from '../../alter/recipe.js';
import { add, scale, type Vec } from '../../geometry/vec.js';
import type { Pattern } from '../../pattern/model.js';
import { noteIndent, STEP_LETTERING, type StepPicture, stepPictures } from '../drawing/steps.js';
import type { Pen } from '../layers.js';
import { AFTER, ARROW, BEFORE, INSIDE, STEPS_NOTE, type StepsDrawing } from '../svg-steps.js';
import { Content } from './content.js';
import { PAPERS, PaperDocument } from './paper.js';

export interface StepsPdfOptions extends StepsDrawing {
  readonly date: Date;
  readonly paper?: 'A4' | 'Letter';
}

const MARGIN = 12;
const HEAD = 16;
const COLUMNS = 3;
const ROWS = 2;
const GUTTER = 7;

/** The strip of a recipe's steps on pages of paper, six pictures a page, all at one reduction. */
export async function stepsPdf(
  block: Pattern,
  stages: readonly Stage[],
  options: StepsPdfOptions,
): Promise<Uint8Array> {
  const pictures = stepPictures(block, stages, options.unit);
  const document = await PaperDocument.open({
    title: `${options.title}: step by step`,
    subject: `${stages.length} steps`,
    keywords: ['alterations'],
    date: options.date,
  });
  const paper = PAPERS[options.paper ?? 'A4'];
  const [width, height] = [paper.height, paper.width];
  const room = {
    across: (width - 2 * MARGIN - (COLUMNS - 1) * GUTTER) / COLUMNS,
    up: (height - 2 * MARGIN - HEAD - (ROWS - 1) * GUTTER) / ROWS,
  };
  const reduction = Math.max(...pictures.map((p) => Math.max(p.width / room.across, p.height / room.up)));
  const perPage = COLUMNS * ROWS;
  const pages = Math.ceil(pictures.length / perPage);
  for (let page = 0; page < pages; page++) {
    const content = new Content(document.fonts);
    const top = height - MARGIN - 4;
    content.text(`${options.title}: step by step`, [MARGIN, top], { height: 3.6, bold: true });
    const said = `${STEPS_NOTE} Reduced 1 : ${reduction.toFixed(1)}. Page ${page + 1} of ${pages}.`;
    content.text(said, [MARGIN, top - 6], { height: 1.9 });
    pictures.slice(page * perPage, (page + 1) * perPage).forEach((picture, i) => {
      const [column, row] = [i % COLUMNS, Math.floor(i / COLUMNS)];
      const upper = height - MARGIN - HEAD - row * (room.up + GUTTER);
      const at: Vec = [MARGIN + column * (room.across + GUTTER), upper - picture.height / reduction];
      drawPicture(content, picture, at, 1 / reduction);
    });
    document.addPage(width, height, content);
  }
  return document.bytes();
}

function drawPicture(content: Content, picture: StepPicture, at: Vec, factor: number): void {
  const place = (p: Vec): Vec => add(at, scale(p, factor));
  const draw = (points: readonly Vec[], pen: Pen, closed: boolean) => {
    content.pen(pen, factor);
    content.stroke(points.map(place), closed);
  };
  for (const piece of picture.pieces) {
    if (piece.before) draw(piece.before, BEFORE, true);
    draw(piece.after, AFTER, true);
    for (const line of piece.internals) draw(line, INSIDE, false);
    for (const line of piece.arrow) draw(line, ARROW, false);
    content.text(piece.name, place(piece.nameAt), { height: STEP_LETTERING.name * factor, align: 'middle' });
  }
  const top = picture.height - STEP_LETTERING.heading * 1.5;
  content.text(picture.heading, place([0, top]), { height: STEP_LETTERING.heading * factor, bold: true });
  const leading = STEP_LETTERING.note * STEP_LETTERING.leading;
  picture.notes.forEach((line, i) => {
    const x = noteIndent(line);
    const y = top - leading * (i + 1.1);
    content.text(line.trimStart(), place([x, y]), { height: STEP_LETTERING.note * factor });
  });
}
