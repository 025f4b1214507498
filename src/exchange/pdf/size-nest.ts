import type { Box } from '../../geometry/polygon.js';
import { add, lerp, scale as scaled, sub, type Vec } from '../../geometry/vec.js';
import type { SizeRange } from '../../grade/types.js';
import { hasPiece } from '../../pattern/model.js';
import { formatLength, type Unit } from '../../units.js';
import {
  type NestedSize,
  nestNote,
  nestTitle,
  type SizeNest,
  type SizeNestOptions,
  sizeNest,
} from '../drawing/size-nest.js';
import { short } from '../numbers.js';
import { Content } from './content.js';
import { MAX_PAGE_MM, PAPERS, PaperDocument } from './paper.js';

export interface SizeNestPdfOptions {
  readonly title: string;
  readonly units: Unit;
  readonly date: Date;
  /** Pieces to draw, a page each. Default: every piece of the base size. */
  readonly pieces?: readonly string[];
  /** Point by piece that all sizes share in the drawing. */
  readonly stack?: Readonly<Record<string, string>>;
  /** Reduced to fit the paper, or pages as large as the pieces at true scale. Default `fit`. */
  readonly scale?: 'fit' | 'true';
  readonly paper?: 'A4' | 'Letter';
  /** Warning that stands on every page. */
  readonly stamp?: string;
}

const MARGIN = 12;
const KEY_WIDTH = 46;
const HEAD = 22;
/** Reductions that a ruler can read. */
const REDUCTIONS = [1, 2, 2.5, 4, 5, 8, 10, 15, 20, 25, 40, 50];

interface PageRoom {
  readonly width: number;
  readonly height: number;
  readonly reduction: number;
}

/**
 * Size nests as a PDF: every piece in all sizes on a page of its own, the sizes told apart by colour and by line
 * pattern, with a key, the reduction and a scale bar.
 *
 * @throws InputError when no size has a piece of a name that was asked for, or a piece no point to stack at.
 */
export async function sizeNestPdf(range: SizeRange, options: SizeNestPdfOptions): Promise<Uint8Array> {
  const base = range.sizes.find((s) => s.size === range.base)!.pattern;
  const names = options.pieces ?? base.pieces.map((p) => p.name).filter((name) => hasPiece(base, name));
  const document = await PaperDocument.open({
    title: `${options.title}: size nest`,
    subject: `sizes ${range.sizes.map((s) => s.size).join(', ')}, base ${range.base}`,
    keywords: ['size nest', ...names],
    date: options.date,
  });
  for (const name of names) {
    const stack = options.stack?.[name];
    const how: SizeNestOptions = stack === undefined ? {} : { stack };
    const nest = sizeNest(range, name, how);
    const page = pageFor(nest.room, options);
    const content = new Content(document.fonts);
    drawPage(content, nest, page, options);
    document.addPage(page.width, page.height, content);
  }
  return document.bytes();
}

function pageFor(room: Box, { scale, paper }: SizeNestPdfOptions): PageRoom {
  const [across, down] = [room.maxX - room.minX, room.maxY - room.minY];
  const around = [2 * MARGIN + KEY_WIDTH, 2 * MARGIN + HEAD + 10] as const;
  if (scale === 'true') {
    const [width, height] = [Math.max(across + around[0], 160), Math.max(down + around[1], 120)];
    if (width <= MAX_PAGE_MM && height <= MAX_PAGE_MM) return { width, height, reduction: 1 };
  }
  const sheet = PAPERS[paper ?? 'A4'];
  const pages = [
    { width: sheet.width, height: sheet.height },
    { width: sheet.height, height: sheet.width },
  ];
  const fitted = pages.map(({ width, height }) => {
    const need = Math.max(across / (width - around[0]), down / (height - around[1]));
    return { width, height, reduction: REDUCTIONS.find((r) => r >= need) ?? Math.ceil(need) };
  });
  return fitted[1]!.reduction < fitted[0]!.reduction ? fitted[1]! : fitted[0]!;
}

function drawPage(content: Content, nest: SizeNest, page: PageRoom, options: SizeNestPdfOptions): void {
  const { width, height, reduction } = page;
  const top = height - MARGIN - 5;
  content.text(`${options.title}: ${nestTitle(nest)}`, [MARGIN, top], { height: 4, bold: true });
  const said = reduction === 1 ? 'True scale.' : `Reduced 1 : ${short(reduction, 2)}.`;
  if (options.stamp !== undefined) {
    content.text(options.stamp, [MARGIN, top - 13], { height: 3.2, bold: true });
  }
  content.paragraph(`${nestNote(nest)} ${said}`, [MARGIN, top - 7], width - 2 * MARGIN, { height: 2.4 });

  // The picture hangs from the upper left corner below the head.
  const factor = 1 / reduction;
  const place: Vec = [MARGIN - nest.room.minX * factor, height - MARGIN - HEAD - nest.room.maxY * factor];
  const put = (p: Vec): Vec => add(place, scaled(p, factor));
  for (const size of nest.sizes) {
    content.pen(penOf(size));
    content.stroke(size.ring.map(put), true);
  }
  const { fold } = nest.sizes[nest.sizes.length - 1]!;
  if (fold) {
    const at = put(lerp(fold[0], fold[1], 0.5));
    content.text('fold', [at[0] + 2, at[1]], { height: 2.2 });
  }
  if (nest.stack) {
    const at = put(nest.stack.at);
    content.pen({ width: 0.2, dash: [], colour: '#000000' });
    for (const by of [
      [3, 0],
      [0, 3],
    ] as const)
      content.stroke([sub(at, by), add(at, by)]);
  }
  drawKey(content, nest.sizes, [width - MARGIN - KEY_WIDTH + 6, height - MARGIN - HEAD - 4]);
  drawBar(content, reduction, options.units);
}

const penOf = ({ isBase, look }: NestedSize) => {
  const width = isBase ? 0.5 : 0.28;
  // Round caps eat a width of every gap.
  return { width, dash: look.dash.map((d) => d * width * 2), colour: look.colour };
};

function drawKey(content: Content, sizes: readonly NestedSize[], [x, top]: Vec): void {
  sizes.forEach((size, i) => {
    const y = top - i * 6;
    content.pen(penOf(size));
    content.stroke([
      [x, y + 1.2],
      [x + 14, y + 1.2],
    ]);
    content.text(size.isBase ? `${size.size} (base)` : size.size, [x + 17, y], { height: 2.6 });
  });
}

/** A bar to measure on paper: ten centimetres or four inches of the pattern, more where it is much reduced. */
function drawBar(content: Content, reduction: number, units: Unit): void {
  const round = units === 'in' ? 4 * 25.4 : 100;
  const real = reduction > 4 ? 5 * round : round;
  const [y, to] = [MARGIN - 4, MARGIN + real / reduction];
  content.pen({ width: 0.25, dash: [], colour: '#000000' });
  content.stroke([
    [MARGIN, y],
    [to, y],
  ]);
  for (const x of [MARGIN, to]) {
    content.stroke([
      [x, y - 1],
      [x, y + 1],
    ]);
  }
  content.text(formatLength(real, units), [to + 2, y - 1.1], { height: 2.2 });
}
