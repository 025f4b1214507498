import { InputError, suggest } from '../errors.js';
import type { Pattern } from '../pattern/model.js';
import type { FinishOptions, Shrinkage } from './types.js';

/**
 * House defaults. 3/8 in is the commercial allowance of a three- or four-thread overlock (trade writing); a
 * notch of 2 to 3 mm is common practice; corners are cut off at twice the allowance (house default).
 */
export const FINISH_DEFAULTS: FinishOptions = {
  allowances: { default: 25.4 * (3 / 8), edges: {}, hems: {} },
  notchDepth: 3,
  cornerLimit: 2,
  curveTolerance: 0.1,
};

export const NO_SHRINKAGE: Shrinkage = { walewise: 0, coursewise: 0 };

/** Allowance of one edge, mm: the piece's own, else the edge's, else the default; hems go with the edges. */
export function allowanceOf({ allowances }: FinishOptions, piece: string, edge: string): number {
  const { edges, hems } = allowances;
  const own = `${piece}.${edge}`;
  return hems[own] ?? edges[own] ?? hems[edge] ?? edges[edge] ?? allowances.default;
}

/** Whether an edge's allowance is a hem that is turned up, and not a seam. */
export function isTurnedUp({ allowances }: FinishOptions, piece: string, edge: string): boolean {
  const { edges, hems } = allowances;
  const own = `${piece}.${edge}`;
  return own in hems || (edge in hems && !(own in edges));
}

/** Which ends of an edge have their allowance squared to it. */
export function squaredEnds(
  { corners = {} }: FinishOptions,
  piece: string,
  edge: { readonly name: string; readonly from: string; readonly to: string },
): { start: boolean; end: boolean } {
  const at = (point: string) => (corners[`${piece}.${point}`] ?? corners[point]) === edge.name;
  return { start: at(edge.from), end: at(edge.to) };
}

/**
 * Looks whether every corner that is squared is one, and the edge named ends there.
 *
 * @throws InputError with the nearest known point or edge.
 */
export function assertCorners(pattern: Pattern, { corners = {} }: FinishOptions): void {
  for (const [address, wanted] of Object.entries(corners)) {
    const place = { path: `finish.corners.${address}` };
    const ends = pattern.pieces.flatMap((piece) =>
      piece.edges.flatMap((edge) =>
        [edge.from, edge.to].map((point) => ({
          piece: piece.name,
          point,
          edge: edge.name,
          fold: piece.fold,
        })),
      ),
    );
    const here = ends.filter(({ piece, point }) => address === point || address === `${piece}.${point}`);
    if (here.length === 0) {
      const known = ends.flatMap(({ piece, point }) => [point, `${piece}.${point}`]);
      throw new InputError(`no piece has a corner '${address}'`, {
        mend: suggest(address, [...new Set(known)]),
        place,
      });
    }
    if (here.some(({ edge, fold }) => edge === wanted && edge !== fold)) continue;
    const edges = [...new Set(here.filter(({ edge, fold }) => edge !== fold).map(({ edge }) => edge))];
    throw new InputError(`no edge '${wanted}' ends at '${address}'`, { mend: suggest(wanted, edges), place });
  }
}

/**
 * Looks whether every allowance is for an edge that the pattern has.
 *
 * @throws InputError with the nearest known edge, or for an allowance at a fold.
 */
export function assertAllowances(pattern: Pattern, options: FinishOptions): void {
  const known = new Set<string>();
  const folds = new Set<string>();
  for (const piece of pattern.pieces) {
    for (const edge of piece.edges) {
      const address = `${piece.name}.${edge.name}`;
      if (edge.name === piece.fold) folds.add(address).add(edge.name);
      else known.add(address).add(edge.name);
    }
  }
  const { edges, hems } = options.allowances;
  const given = [
    ...Object.entries(edges).map(([address, mm]) => ({ address, mm, part: 'edges' })),
    ...Object.entries(hems).map(([address, mm]) => ({ address, mm, part: 'hems' })),
  ];
  for (const { address, mm, part } of given) {
    if (known.has(address)) continue;
    const place = { path: `finish.allowances.${part}.${address}` };
    if (!folds.has(address)) {
      throw new InputError(`no piece has an edge '${address}'`, {
        mend: suggest(address, [...known]),
        place,
      });
    }
    if (mm !== 0) throw new InputError(`'${address}' lies on the fold, where no allowance is cut`, { place });
  }
}

/**
 * Factors that enlarge a sewing line so that it measures right after the wash: 1 / (1 - s) for shrinkage s in
 * each direction, not 1 + s (the cut length is what shrinks). x along the courses, y along the wales.
 *
 * @throws InputError for a shrinkage that is not a percentage from -50 to 50 (negative: the fabric grows).
 */
export function shrinkageFactors(shrinkage: Shrinkage): { x: number; y: number } {
  const factor = (percent: number, direction: string) => {
    if (percent > -50 && percent < 50) return 1 / (1 - percent / 100);
    throw new InputError(`a ${direction} shrinkage of ${percent} % is out of reason`, {
      mend: 'give the percentage of the length that is lost, such as 5',
    });
  };
  return { x: factor(shrinkage.coursewise, 'coursewise'), y: factor(shrinkage.walewise, 'walewise') };
}
