import { labelPlace } from '../../finish/label.js';
import { add, type Vec } from '../../geometry/vec.js';
import { lineWidth } from '../drawing/shapes.js';
import { oneLine } from '../text.js';
import { type KeywordKey, keywordText } from './pattern-layers.js';
import type { PatternPiece } from './pattern-types.js';

/** Height of capitals, mm, where there is room; and between lines, in heights. */
const HEIGHT = 5;
const SPACING = 1.6;

/** Where a line of text starts, and the height of its capitals, mm. */
export interface TextPlace {
  readonly at: Vec;
  readonly height: number;
}

/** Lines of text under each other where a piece has most room, small enough to stay inside it. */
export function textPlaces(piece: Pick<PatternPiece, 'boundary'>, lines: readonly string[]): TextPlace[] {
  const { at, radius } = labelPlace(piece.boundary.vertices.map((v) => v.at));
  const width = Math.max(...lines.map(lineWidth));
  // The rectangle of all lines fits into the clear circle when its diagonal does.
  const height = Math.min(HEIGHT, (2 * radius) / Math.hypot(width, SPACING * lines.length));
  const [left, top] = [(-width * height) / 2, (SPACING * height * lines.length) / 2];
  return lines.map((_, i) => ({ at: add(at, [left, top - SPACING * height * (i + 1)]), height }));
}

/** What a piece says of itself, `Keyword: value`. */
export function pieceWords(
  piece: Pick<PatternPiece, 'name' | 'size' | 'quantity' | 'material' | 'category'>,
): string[] {
  const { quantity } = piece;
  const values: readonly (readonly [KeywordKey, string | undefined])[] = [
    ['piece', piece.name],
    ['size', piece.size],
    ['quantity', quantity && quantityText(quantity)],
    ['material', piece.material],
    ['category', piece.category],
  ];
  return values.flatMap(([key, value]) => (value === undefined ? [] : [keywordText(key, oneLine(value))]));
}

const quantityText = ({ asDrawn, mirrored }: { asDrawn: number; mirrored: number }): string =>
  mirrored === 0 ? String(asDrawn) : `${asDrawn},${mirrored}`;
