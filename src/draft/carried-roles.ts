/**
 * Names that alterations and increments go by. A style that carries its pieces may name them as it likes; where
 * the names are these, a recipe works on it and the increments know its points.
 */
export interface PieceRole {
  /** Corners, counter-clockwise from the lower end of the fold (a half) or the back wrist (a sleeve). */
  readonly points: readonly string[];
  /** Edge that starts at the corner of the same place in `points`. */
  readonly edges: readonly string[];
  /** Points that may be named inside an edge. */
  readonly marks: Readonly<Record<string, readonly string[]>>;
}

/** A half back or front, its fold at the left; the waist is a mark on its side seam. */
const BODY_HALF: PieceRole = {
  points: ['center-hem', 'side-hem', 'underarm', 'shoulder-tip', 'neck-point', 'center-neck'],
  edges: ['hem', 'side', 'armhole', 'shoulder', 'neckline', 'fold'],
  marks: { side: ['waist', 'hip'] },
};

/** A whole sleeve, its back at the left; the crown is where the shoulder seam meets the cap. */
const SLEEVE: PieceRole = {
  points: ['back-wrist', 'front-wrist', 'front-bicep', 'crown', 'back-bicep'],
  edges: ['wrist', 'front-underarm', 'front-cap', 'back-cap', 'back-underarm'],
  marks: {},
};

export const PIECE_ROLES: Readonly<Record<string, PieceRole>> = {
  back: BODY_HALF,
  front: BODY_HALF,
  sleeve: SLEEVE,
};

/** A whole rectangle lying level, as bands, cuffs and simple pockets are: any name goes. */
export const RECTANGLE: PieceRole = {
  points: ['lower-left', 'lower-right', 'upper-right', 'upper-left'],
  edges: ['lower', 'right', 'upper', 'left'],
  marks: {},
};
