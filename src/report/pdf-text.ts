import { CAP_HEIGHT, type Content } from '../exchange/pdf/content.js';
import type { Typefaces } from '../exchange/pdf/paper.js';
import { oneLine } from '../exchange/text.js';
import { type Mark, partsOf, type Text } from './document.js';

/** How a text is set; `height` is that of its capitals, mm. */
export interface Setting {
  readonly height: number;
  readonly bold?: boolean;
  readonly colour?: string;
}

/** A run of one setting on a line, `x` mm from the line's start. */
export interface Span extends Setting {
  readonly text: string;
  readonly x: number;
}

export interface Line {
  readonly spans: readonly Span[];
  readonly width: number;
  /** From the line above to this one, mm. */
  readonly leading: number;
}

const RED = '#b00020';
const GREY = '#555555';
/** From one baseline to the next, in heights of capitals. */
const LEADING = 1.75;
const SMALL = 0.86;
const BIG = 1.15;

interface Word extends Setting {
  readonly text: string;
  /** A space stands before it; without one it clings to the word before. */
  readonly spaced: boolean;
}

/** Breaks texts into lines by the widths of the typefaces. */
export class Typesetter {
  readonly #fonts: Typefaces;

  constructor(fonts: Typefaces) {
    this.#fonts = fonts;
  }

  width(text: string, { height, bold }: Setting): number {
    const face = bold ? this.#fonts.bold : this.#fonts.regular;
    return (face.set(text).width * height) / CAP_HEIGHT;
  }

  /** A text in lines no wider than `room`; a word that is wider alone is broken. */
  lines(text: Text, base: Setting, room: number): Line[] {
    return paragraphs(text, base).flatMap((words) => this.#wrap(words, room));
  }

  /** Width of a text whose lines are broken only where it says so. */
  natural(text: Text, base: Setting): number {
    return Math.max(0, ...this.lines(text, base, Number.POSITIVE_INFINITY).map((line) => line.width));
  }

  /** Width of its widest word: it cannot be set narrower without breaking words. */
  least(text: Text, base: Setting): number {
    const units = paragraphs(text, base).flatMap(clinging);
    return Math.max(0, ...units.map((words) => words.reduce((sum, w) => sum + this.width(w.text, w), 0)));
  }

  #wrap(words: readonly Word[], room: number): Line[] {
    const lines: Word[][] = [[]];
    let width = 0;
    for (const unit of clinging(words).flatMap((u) => this.#broken(u, room))) {
      const own = unit.reduce((sum, w) => sum + this.width(w.text, w), 0);
      const current = lines[lines.length - 1]!;
      const gap = current.length > 0 && unit[0]!.spaced ? this.width(' ', unit[0]!) : 0;
      if (current.length > 0 && width + gap + own > room + 1e-6) {
        lines.push([...unit]);
        width = own;
      } else {
        current.push(...unit);
        width += gap + own;
      }
    }
    return lines.filter((line) => line.length > 0).map((line) => this.#line(line));
  }

  /** A unit wider than the room, in parts that fit. */
  #broken(unit: readonly Word[], room: number): (readonly Word[])[] {
    const [only] = unit;
    if (unit.length !== 1 || !only || this.width(only.text, only) <= room + 1e-6) return [unit];
    const parts: string[] = [''];
    for (const letter of only.text) {
      const longer = parts[parts.length - 1]! + letter;
      if (longer.length > 1 && this.width(longer, only) > room) parts.push(letter);
      else parts[parts.length - 1] = longer;
    }
    return parts.map((text) => [{ ...only, text, spaced: true }]);
  }

  /** Neighbours of one setting become one run. */
  #line(words: readonly Word[]): Line {
    const spans: Span[] = [];
    let x = 0;
    for (const [i, word] of words.entries()) {
      const gap = i > 0 && word.spaced ? this.width(' ', word) : 0;
      const last = spans[spans.length - 1];
      const { text, spaced: _, ...setting } = word;
      if (last && alike(last, word)) {
        spans[spans.length - 1] = { ...last, text: `${last.text}${word.spaced ? ' ' : ''}${text}` };
      } else spans.push({ ...setting, text, x: x + gap });
      x += gap + this.width(text, word);
    }
    const tallest = Math.max(...words.map((w) => w.height));
    return { spans, width: x, leading: tallest * LEADING };
  }
}

/** Draws lines below `top`, each `left` or with its end at `right`; returns where they end. */
export function drawLines(
  content: Content,
  lines: readonly Line[],
  place: { left: number; top: number; right?: number },
): number {
  let y = place.top;
  for (const { spans, width, leading } of lines) {
    y -= leading;
    const left = place.right === undefined ? place.left : place.right - width;
    for (const { text, x, height, bold, colour } of spans) {
      // Capitals stand in the middle of their leading.
      const at = [left + x, y + (leading - height) / 2] as const;
      content.text(text, at, { height, bold: bold ?? false, ...(colour ? { colour } : {}) });
    }
  }
  return y;
}

export const heightOf = (lines: readonly Line[]): number => lines.reduce((sum, l) => sum + l.leading, 0);

/** The words of a text; parts that stand on a line of their own begin another list. */
function paragraphs(text: Text, base: Setting): Word[][] {
  const found: Word[][] = [[]];
  // Whether a space stands before the next word.
  let spaced = true;
  for (const part of partsOf(text)) {
    const mark: Mark | undefined = typeof part === 'string' ? undefined : part.mark;
    const raw = typeof part === 'string' ? part : part.text;
    const setting = marked(base, mark);
    if (mark === 'small' || mark === 'line') found.push([]);
    if (/^\s/.test(raw)) spaced = true;
    for (const word of oneLine(raw).split(' ')) {
      if (word !== '') found[found.length - 1]!.push({ ...setting, text: word, spaced });
      spaced = true;
    }
    spaced = /\s$/.test(raw);
    if (mark === 'small') found.push([]);
  }
  return found.filter((words) => words.length > 0);
}

function marked(base: Setting, mark: Mark | undefined): Setting {
  if (mark === 'bold') return { ...base, bold: true };
  if (mark === 'bad') return { ...base, bold: true, colour: RED };
  if (mark === 'big') return { ...base, bold: true, height: base.height * BIG };
  if (mark === 'small') return { ...base, bold: false, colour: GREY, height: base.height * SMALL };
  return base;
}

/** Words with those that cling to them. */
function clinging(words: readonly Word[]): Word[][] {
  const units: Word[][] = [];
  for (const word of words) {
    if (!word.spaced && units.length > 0) units[units.length - 1]!.push(word);
    else units.push([word]);
  }
  return units;
}

const alike = (a: Setting, b: Setting): boolean =>
  a.height === b.height && (a.bold ?? false) === (b.bold ?? false) && a.colour === b.colour;
