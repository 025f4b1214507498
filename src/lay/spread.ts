import { FOLD_MARGIN } from './schema.js';
import type { Fabric, LayMode, LayOptions, Spread } from './types.js';

/** What the lay mode of a fabric means for whoever spreads and cuts it. */
export function spreadOf(fabric: Pick<Fabric, 'mode' | 'orientation'>): Spread {
  const { mode, orientation } = fabric;
  switch (mode) {
    case 'single':
      return {
        mode,
        layers: 1,
        folds: [],
        plies: 'any',
        note: 'Spread every ply right side up and the same way round: cut it off at the end and start the next at the same end.',
      };
    case 'face-to-face':
      return {
        mode,
        layers: 1,
        folds: [],
        plies: 'even',
        // A garment takes one hand from either ply of a pair, so both must run one way wherever shade shows.
        note:
          orientation === 'either-way'
            ? 'Spread face to face by zig-zag, an even number of plies: two give both hands.'
            : 'Spread face to face, an even number of plies: two give both hands. Never zig-zag, which turns every other ply: cut each ply off at the end and turn the roll, so that the wales of all run the same way.',
      };
    case 'folded':
      return {
        mode,
        layers: 2,
        folds: ['low'],
        plies: 'any',
        note: 'Fold the cloth lengthwise, right side in, selvedge on selvedge; the fold is the lower edge of the marker. All plies lie the same way round, folds one above the other.',
      };
    case 'tubular':
      return {
        mode,
        layers: 2,
        folds: ['low', 'high'],
        plies: 'any',
        note: 'Lay the tube flat as it is knitted; both edges are folds. All plies lie the same way round, folds one above the other.',
      };
  }
}

/** Width of the fabric as it lies, mm: half the usable width where it is folded, the flat width of a tube. */
export const laidWidth = ({ mode, usableWidth }: Pick<Fabric, 'mode' | 'usableWidth'>): number =>
  mode === 'folded' ? usableWidth / 2 : usableWidth;

/** Modes whose plies are one cloth thick. */
export const isOpen = (mode: LayMode): boolean => mode === 'single' || mode === 'face-to-face';

/** The laid cloth and what of it may be searched; mm. */
export interface LayFrame {
  readonly width: number;
  /** Kept free of whole pieces at Y = 0 and at Y = width. */
  readonly low: number;
  readonly high: number;
  /** Between the two. */
  readonly stripWidth: number;
}

/**
 * Margins by side: the side margin at a selvedge; at a fold the fold margin, or half the gap where that is more,
 * because beyond the fold lies the piece's own mirror image.
 */
export function layFrame(
  fabric: Pick<Fabric, 'mode' | 'orientation' | 'usableWidth'>,
  options: Pick<LayOptions, 'gap' | 'sideMargin' | 'foldMargin'>,
): LayFrame {
  const { folds } = spreadOf(fabric);
  const atFold = Math.max(options.foldMargin ?? FOLD_MARGIN, options.gap / 2);
  const low = folds.includes('low') ? atFold : options.sideMargin;
  const high = folds.includes('high') ? atFold : options.sideMargin;
  const width = laidWidth(fabric);
  return { width, low, high, stripWidth: width - low - high };
}
