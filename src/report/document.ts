import type { CutPiece } from '../finish/types.js';
import type { SizeRange } from '../grade/types.js';
import type { Marker } from '../lay/types.js';

/** How a part of a text stands out; `small` and `line` stand on a line of their own below. */
export type Mark = 'bold' | 'italic' | 'bad' | 'big' | 'small' | 'line';

export interface MarkedText {
  readonly text: string;
  readonly mark: Mark;
}

/** A text whose parts may stand out. */
export type Text = string | MarkedText | readonly (string | MarkedText)[];

export interface Column {
  readonly head: Text;
  /** Figures: to the right, never broken. */
  readonly numeric?: boolean;
}

export interface Table {
  readonly kind: 'table';
  readonly columns: readonly Column[];
  /** The first cell of a row is its heading. */
  readonly rows: readonly (readonly Text[])[];
  readonly caption?: string;
  /** The last row adds the others up. */
  readonly total?: boolean;
}

/** What a figure draws. */
export type Picture =
  | { readonly of: 'marker'; readonly marker: Marker }
  | { readonly of: 'pieces'; readonly pieces: readonly CutPiece[] }
  | { readonly of: 'size nest'; readonly range: SizeRange; readonly piece: string };

export interface Figure {
  readonly kind: 'figure';
  readonly picture: Picture;
  readonly caption: string;
  readonly size: 'wide' | 'small';
}

export type Block =
  | { readonly kind: 'stamp'; readonly text: string }
  | { readonly kind: 'heading'; readonly level: 1 | 2 | 3; readonly text: string }
  | { readonly kind: 'paragraph'; readonly text: Text; readonly tone?: 'lead' | 'good' | 'warn' }
  | { readonly kind: 'list'; readonly items: readonly Text[]; readonly warn?: string }
  | { readonly kind: 'facts'; readonly facts: readonly (readonly [string, Text])[] }
  | { readonly kind: 'pair'; readonly figures: readonly Figure[] }
  /** Begins a new page where there are pages. */
  | { readonly kind: 'page' }
  | Table
  | Figure;

/** What is written as an HTML file and as a PDF alike: the same blocks in the same order. */
export interface Document {
  readonly title: string;
  /** Below the title of a PDF's properties. */
  readonly subject: string;
  readonly date: Date;
  readonly blocks: readonly Block[];
}

export const heading = (text: string, level: 1 | 2 | 3 = 2): Block => ({ kind: 'heading', level, text });

export const paragraph = (text: Text, tone?: 'lead' | 'good' | 'warn'): Block =>
  tone ? { kind: 'paragraph', text, tone } : { kind: 'paragraph', text };

export const list = (items: readonly Text[]): Block => ({ kind: 'list', items });

export const table = (
  columns: readonly Column[],
  rows: readonly (readonly Text[])[],
  options: { caption?: string; total?: boolean } = {},
): Table => ({ kind: 'table', columns, rows, ...options });

export const figure = (picture: Picture, caption: string, size: 'wide' | 'small' = 'wide'): Figure => ({
  kind: 'figure',
  picture,
  caption,
  size,
});

export const bold = (text: string): MarkedText => ({ text, mark: 'bold' });
export const italic = (text: string): MarkedText => ({ text, mark: 'italic' });
export const bad = (text: string): MarkedText => ({ text, mark: 'bad' });
export const big = (text: string): MarkedText => ({ text, mark: 'big' });
export const small = (text: string): MarkedText => ({ text, mark: 'small' });

/** Columns of figures. */
export const numeric = (...heads: readonly Text[]): Column[] =>
  heads.map((head) => ({ head, numeric: true }));

/** The parts of a text, each with its mark. */
export const partsOf = (text: Text): readonly (string | MarkedText)[] =>
  Array.isArray(text) ? (text as readonly (string | MarkedText)[]) : [text as string | MarkedText];

export const plainText = (text: Text): string =>
  partsOf(text)
    .map((part) => (typeof part === 'string' ? part : part.mark === 'small' ? ` ${part.text}` : part.text))
    .join('')
    .trim();
