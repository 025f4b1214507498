import { Content } from '../exchange/pdf/content.js';
import { PAPERS, PaperDocument } from '../exchange/pdf/paper.js';
import { type Block, bold, type Document, type Figure, type Table, type Text } from './document.js';
import { type FittedPicture, fitPicture } from './pdf-picture.js';
import { drawRow, type SetRow, type SetTable, setTable } from './pdf-table.js';
import { drawLines, heightOf, type Line, type Setting, Typesetter } from './pdf-text.js';

export interface PdfOptions {
  readonly paper?: 'A4' | 'Letter';
}

const MARGIN = 14;
/** Free of text at the foot: the page number stands there. */
const FOOT = 20;
const BODY: Setting = { height: 2.05 };
const CAPTION: Setting = { height: 1.85, colour: '#444444' };
const HEADS = { 1: 4.2, 2: 3, 3: 2.3 } as const;
const GAP = 3;
const RULE = { width: 0.15, dash: [], colour: '#bbbbbb' } as const;
const THICK = { width: 0.4, dash: [], colour: '#1a1a1a' } as const;
const BARS = { good: '#0072b2', warn: '#d55e00' } as const;
/** Tallest that a wide picture gets, and two small ones side by side; what a wide one is not made smaller than. */
const WIDE = 200;
const SMALL = 66;
const LEAST_WIDE = 105;
/** Of the page's width: a wide picture under this share of it is a high one. */
const SLIM = 0.7;
/** A table that is no taller stands whole. */
const SHORT_TABLE = 45;

/**
 * A document as a PDF: portrait pages with a foot, headings kept with what follows them, tables whose head is
 * repeated on every page and whose rows are not parted. The same document gives the same bytes.
 *
 * @throws InputError when a coordinate of a picture is not finite.
 */
export async function documentPdf(document: Document, options: PdfOptions = {}): Promise<Uint8Array> {
  const paper = PAPERS[options.paper ?? 'A4'];
  const file = await PaperDocument.open({
    title: document.title,
    subject: document.subject,
    keywords: ['report'],
    date: document.date,
  });
  const flow = new Flow(file, paper);
  document.blocks.forEach((block, i) => {
    flow.block(block, document.blocks.slice(i + 1));
  });
  flow.finish(`${document.title} · ${document.date.toISOString().slice(0, 10)}`);
  return file.bytes();
}

/** Fills pages from the top. */
class Flow {
  readonly #file: PaperDocument;
  readonly #paper: { readonly width: number; readonly height: number };
  readonly #setter: Typesetter;
  readonly #pages: Content[] = [];
  #y = 0;

  constructor(file: PaperDocument, paper: { readonly width: number; readonly height: number }) {
    this.#file = file;
    this.#paper = paper;
    this.#setter = new Typesetter(file.fonts);
    this.#newPage();
  }

  block(block: Block, after: readonly Block[]): void {
    if (block.kind === 'heading') this.#heading(block, after);
    else if (block.kind === 'stamp') this.#stamp(block.text);
    else if (block.kind === 'paragraph') this.#paragraph(block.text, block.tone);
    else if (block.kind === 'list') this.#list(block.items, block.warn);
    else if (block.kind === 'facts') this.#facts(block.facts);
    else if (block.kind === 'table') this.#table(block);
    else if (block.kind === 'figure') this.#figure(block);
    else if (block.kind === 'pair') this.#pairs(block.figures);
    else if (this.#y < this.#top) this.#newPage();
  }

  /** Writes all pages, each with `foot` and its number. */
  finish(foot: string): void {
    const { width, height } = this.#paper;
    this.#pages.forEach((content, i) => {
      content.text(foot, [MARGIN, MARGIN - 4], { height: 1.6, colour: '#555555' });
      content.text(`Page ${i + 1} of ${this.#pages.length}`, [width - MARGIN, MARGIN - 4], {
        height: 1.6,
        align: 'end',
        colour: '#555555',
      });
      this.#file.addPage(width, height, content);
    });
  }

  get #content(): Content {
    return this.#pages[this.#pages.length - 1]!;
  }

  get #width(): number {
    return this.#paper.width - 2 * MARGIN;
  }

  get #top(): number {
    return this.#paper.height - MARGIN;
  }

  /** Left on this page, mm. */
  get #room(): number {
    return this.#y - FOOT;
  }

  #newPage(): void {
    this.#pages.push(new Content(this.#file.fonts));
    this.#y = this.#top;
  }

  /** Begins a new page unless `height` mm are left on this one. */
  #need(height: number): void {
    if (height > this.#room && this.#y < this.#top) this.#newPage();
  }

  #heading(block: Block & { kind: 'heading' }, after: readonly Block[]): void {
    const lines = this.#setter.lines(block.text, { height: HEADS[block.level], bold: true }, this.#width);
    const above = this.#y === this.#top ? 0 : block.level === 3 ? 3 : 6;
    this.#need(above + heightOf(lines) + 2 + this.#lead(after));
    if (this.#y < this.#top) this.#y -= above;
    if (block.level === 2) {
      this.#content.pen(THICK);
      this.#rule(this.#y);
      this.#y -= 1.5;
    }
    this.#y = drawLines(this.#content, lines, { left: MARGIN, top: this.#y }) - 1.5;
  }

  /** What must follow a heading on its page. */
  #lead(after: readonly Block[]): number {
    const [next, ...rest] = after;
    if (!next) return 0;
    if (next.kind === 'figure') return Math.min(this.#fit(next).height, LEAST_WIDE);
    if (next.kind === 'pair') return SMALL;
    if (next.kind === 'heading') return 8 + this.#lead(rest);
    if (next.kind === 'paragraph' && rest[0]?.kind === 'heading') return 10 + this.#lead(rest);
    if (next.kind === 'table') return 30;
    return 12;
  }

  #stamp(text: string): void {
    const setting = { height: 2.6, bold: true, colour: '#b00020' };
    const lines = this.#setter.lines(text, setting, this.#width - 8);
    const height = heightOf(lines) + 5;
    this.#need(height);
    this.#content.pen({ width: 0.8, dash: [], colour: '#b00020' });
    const [left, right] = [MARGIN + 0.4, this.#paper.width - MARGIN - 0.4];
    this.#content.stroke(
      [
        [left, this.#y],
        [right, this.#y],
        [right, this.#y - height],
        [left, this.#y - height],
      ],
      true,
    );
    drawLines(this.#content, lines, { left: MARGIN + 4, top: this.#y - 2.5 });
    this.#y -= height + GAP;
  }

  #paragraph(text: Text, tone?: 'lead' | 'good' | 'warn'): void {
    const bar = tone === 'good' || tone === 'warn' ? BARS[tone] : undefined;
    const indent = bar ? 4 : 0;
    const setting = tone === 'lead' ? { ...BODY, colour: '#444444' } : BODY;
    this.#lines(this.#setter.lines(text, setting, this.#width - indent), indent, bar);
    this.#y -= GAP * 0.7;
  }

  #list(items: readonly Text[], warn: string | undefined): void {
    const bar = warn === undefined ? undefined : BARS.warn;
    const indent = bar ? 4 : 0;
    if (warn !== undefined) this.#lines(this.#setter.lines([bold(warn)], BODY, this.#width), indent, bar);
    for (const item of items) {
      const lines = this.#setter.lines(item, BODY, this.#width - indent - 4);
      this.#need(Math.min(heightOf(lines), 20));
      const top = this.#y;
      this.#content.text('•', [MARGIN + indent, top - BODY.height * 1.375], { height: BODY.height });
      this.#lines(lines, indent + 4, bar);
      this.#y -= 0.6;
    }
    this.#y -= GAP * 0.7;
  }

  /** Lines one under another, parted between pages where they must be. */
  #lines(lines: readonly Line[], indent: number, bar?: string): void {
    for (const line of lines) {
      this.#need(line.leading);
      if (bar) {
        this.#content.fill(
          [
            [MARGIN, this.#y],
            [MARGIN + 1, this.#y],
            [MARGIN + 1, this.#y - line.leading - 0.1],
            [MARGIN, this.#y - line.leading - 0.1],
          ],
          bar,
        );
      }
      this.#y = drawLines(this.#content, [line], { left: MARGIN + indent, top: this.#y });
    }
  }

  /** Names over values, three beside each other. */
  #facts(facts: readonly (readonly [string, Text])[]): void {
    const columns = 3;
    const room = this.#width / columns;
    for (let i = 0; i < facts.length; i += columns) {
      const row = facts
        .slice(i, i + columns)
        .map(([name, value]) => [
          ...this.#setter.lines(name, CAPTION, room - 3),
          ...this.#setter.lines(value, { ...BODY, bold: true }, room - 3),
        ]);
      const height = Math.max(...row.map(heightOf)) + 1.6;
      this.#need(height);
      row.forEach((lines, k) => {
        drawLines(this.#content, lines, { left: MARGIN + k * room, top: this.#y });
      });
      this.#y -= height;
      this.#content.pen(RULE);
      this.#rule(this.#y + 0.6);
    }
    this.#y -= GAP;
  }

  #table(block: Table): void {
    const parts = setTable(this.#setter, block, this.#width);
    parts.forEach((set, i) => {
      const caption = block.caption && i > 0 ? `${block.caption}, continued` : block.caption;
      this.#setTable(set, caption);
    });
  }

  #setTable(set: SetTable, caption: string | undefined): void {
    const [first] = set.rows;
    const title = caption ? this.#setter.lines(caption, { ...BODY, bold: true }, this.#width) : [];
    const least = heightOf(title) + set.head.height + (first?.height ?? 0) + (set.rows[1]?.height ?? 0);
    const whole = heightOf(title) + set.head.height + set.rows.reduce((sum, r) => sum + r.height, 0);
    this.#need(whole < SHORT_TABLE ? whole + 2 : least + 2);
    if (caption) this.#y = drawLines(this.#content, title, { left: MARGIN, top: this.#y }) - 0.6;
    this.#tableHead(set);
    set.rows.forEach((row, i) => {
      if (row.height > this.#room) {
        this.#newPage();
        this.#tableHead(set);
      }
      if (set.total && i === set.rows.length - 1) {
        this.#content.pen(THICK);
        this.#rule(this.#y, set.width);
      }
      for (const part of this.#rowParts(row)) {
        if (part.height > this.#room) {
          this.#newPage();
          this.#tableHead(set);
        }
        this.#y = drawRow(this.#content, set, part, { left: MARGIN, top: this.#y });
      }
      this.#content.pen(RULE);
      this.#rule(this.#y, set.width);
    });
    this.#y -= GAP;
  }

  #tableHead(set: SetTable): void {
    this.#y = drawRow(this.#content, set, set.head, { left: MARGIN, top: this.#y });
    this.#content.pen(THICK);
    this.#rule(this.#y, set.width);
  }

  /** A row taller than a page, in parts that fit. */
  #rowParts(row: SetRow): SetRow[] {
    const most = this.#top - FOOT - 30;
    if (row.height <= most) return [row];
    const leading = Math.max(...row.cells.flat().map((l) => l.leading));
    const lines = Math.max(1, Math.floor((most - 2) / leading));
    const count = Math.max(...row.cells.map((c) => Math.ceil(c.length / lines)));
    return Array.from({ length: count }, (_, i) => {
      const cells = row.cells.map((c) => c.slice(i * lines, (i + 1) * lines));
      return { cells, height: Math.max(...cells.map(heightOf)) + 1.8 };
    });
  }

  #rule(y: number, width = this.#width): void {
    this.#content.stroke([
      [MARGIN, y],
      [MARGIN + width, y],
    ]);
  }

  #fit(block: Figure, width = this.#width, height = block.size === 'wide' ? WIDE : SMALL): Fitted {
    const full = fitPicture(block.picture, { width, height });
    // What is high rather than wide need not fill a page.
    const slim = block.size === 'wide' && full.width < SLIM * width && height > LEAST_WIDE;
    const picture = slim ? fitPicture(block.picture, { width, height: LEAST_WIDE }) : full;
    const caption = this.#setter.lines(block.caption, CAPTION, width);
    return { picture, caption, height: picture.height + 1.5 + heightOf(caption) };
  }

  /** A picture as large as it may be; rather smaller on this page than larger on the next. */
  #figure(block: Figure): void {
    const full = this.#fit(block);
    const around = full.height - full.picture.height;
    if (full.height > this.#room && this.#room >= Math.min(LEAST_WIDE, full.height)) {
      this.#figures([this.#fit(block, this.#width, this.#room - around)]);
    } else this.#figures([full]);
  }

  /** Pictures beside each other, captions below. */
  #figures(figures: readonly Fitted[]): void {
    const height = Math.max(...figures.map((f) => f.height));
    this.#need(height);
    const tallest = Math.max(...figures.map((f) => f.picture.height));
    const room = this.#width / figures.length;
    let low = this.#y;
    figures.forEach(({ picture, caption }, i) => {
      const left = MARGIN + i * room;
      picture.draw(this.#content, [left, this.#y - picture.height]);
      low = Math.min(low, drawLines(this.#content, caption, { left, top: this.#y - tallest - 1.5 }));
    });
    this.#y = low - GAP;
  }

  #pairs(figures: readonly Figure[]): void {
    const width = this.#width / 2 - 4;
    for (let i = 0; i < figures.length; i += 2) {
      const two = figures.slice(i, i + 2).map((f) => this.#fit(f, width));
      // A last one alone keeps its half of the page.
      this.#figures(two.length === 2 ? two : [...two, NOTHING]);
    }
  }
}

interface Fitted {
  readonly picture: FittedPicture;
  readonly caption: readonly Line[];
  readonly height: number;
}

const NOTHING: Fitted = { picture: { width: 0, height: 0, draw: () => {} }, caption: [], height: 0 };
