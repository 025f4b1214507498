import { hasPiece, type Pattern, pieceOf } from '../pattern/model.js';

/** Edges of sleeves that are part of the neckline, from back to front, as a raglan has them. */
const ON_SLEEVES: readonly (readonly [piece: string, edge: string])[] = [
  ['sleeve', 'back-neckline'],
  ['back-sleeve', 'neckline'],
  ['sleeve', 'front-neckline'],
  ['front-sleeve', 'neckline'],
];

/** The parts of a neckline that lie on sleeves, as `piece.edge`; none on a set-in sleeve. */
export const necklineOnSleeves = (pattern: Pattern): string[] =>
  ON_SLEEVES.filter(
    ([piece, edge]) => hasPiece(pattern, piece) && pieceOf(pattern, piece).edges.some((e) => e.name === edge),
  ).map(([piece, edge]) => `${piece}.${edge}`);

/** The whole neckline from centre back to centre front, as `piece.edge`. */
export const necklineRing = (pattern: Pattern): string[] => [
  'back.neckline',
  ...necklineOnSleeves(pattern),
  'front.neckline',
];
