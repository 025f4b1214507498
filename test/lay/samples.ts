import { FINISH_DEFAULTS, finishRange } from '../../src/finish/index.js';
import type { CutPiece } from '../../src/finish/types.js';
import type { Polygon } from '../../src/geometry/polygon.js';
import type { Fabric, LayOptions } from '../../src/lay/index.js';
import { altered, SWEATSHIRT } from '../alter/helpers.js';

export const FABRIC: Fabric = {
  name: 'self',
  description: 'test jersey',
  usableWidth: 1650,
  gramsPerSquareMetre: 280,
  currency: 'EUR',
  shrinkage: { walewise: 0, coursewise: 0 },
  relaxationLoss: 0,
  orientation: 'garment-one-way',
  mode: 'single',
};

export const LAY: LayOptions = { gap: 2, sideMargin: 0, endMargin: 0, endAllowance: 20 };

/** A piece of any outline, for counting and placing. */
export const cutPiece = (name: string, cut: Polygon, over: Partial<CutPiece> = {}): CutPiece => ({
  name,
  size: 'M',
  fabric: 'self',
  counts: { asDrawn: 1, mirrored: 0 },
  cut,
  sew: cut,
  notches: [],
  grain: { from: [0, 0], to: [0, 10] },
  internals: [],
  label: { at: [1, 1], radius: 1 },
  ...over,
});

/** The relaxed sweatshirt in its base size only, cut pieces at house allowances. */
export function sweatshirtPieces(): CutPiece[] {
  const pattern = altered(SWEATSHIRT);
  const range = { base: 'M', sizes: [{ size: 'M', steps: 0, growth: {}, pattern }] };
  const finished = finishRange(range, FINISH_DEFAULTS, () => ({ walewise: 5, coursewise: 4 }));
  return finished.flatMap((s) => [...s.pieces]);
}
