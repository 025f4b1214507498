import type { Path } from '../../geometry/path.js';
import type { Polygon } from '../../geometry/polygon.js';
import { add, distance, lerp, sub, type Vec } from '../../geometry/vec.js';
import type { Counts } from '../../pattern/model.js';

/** A corner or curve point that the file itself marks. */
export interface MarkedPoint {
  readonly at: Vec;
  /** A corner, or a point inside an edge. */
  readonly kind: 'corner' | 'inside';
  /** Where it lies in the other sizes, in the frame of this one. */
  readonly sizes?: readonly (readonly [size: string, at: Vec])[];
}

export interface FoundNotch {
  readonly at: Vec;
  readonly kind: 'single' | 'double';
  /** A point farther inside the piece, straight in from the notch: tells its edge at a corner. */
  readonly inside?: Vec;
}

/** A piece as it was found in a file, in the file's frame, mm. */
export interface FoundPiece {
  readonly name: string;
  /** The line that is sewn, closed. */
  readonly outline: Path;
  /** The line that is cut, where the file has both. */
  readonly cut?: Polygon;
  /** Corners that the file marks; left out where they are to be found. */
  readonly marked?: readonly MarkedPoint[];
  readonly fold?: readonly [Vec, Vec];
  readonly grain?: readonly [Vec, Vec];
  readonly internals: readonly { readonly name: string; readonly path: Path }[];
  readonly notches: readonly FoundNotch[];
  /** Texts inside it, for its name, its counts and the names of its points. */
  readonly texts: readonly { readonly text: string; readonly at: Vec }[];
  readonly counts?: Counts;
  readonly fabric?: string;
  readonly size?: string;
  readonly where: string;
}

/** A name that a style may use: letters of the original in lower case, blanks as hyphens; empty when none is left. */
export const slug = (text: string): string =>
  text
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60)
    .replace(/-+$/, '');

/** Single notches, those of a pair within `reach` mm of each other as one double one half-way between them. */
export function pairedNotches(
  single: readonly { readonly at: Vec; readonly inside?: Vec }[],
  reach: number,
): FoundNotch[] {
  const left = [...single];
  const notches: FoundNotch[] = [];
  for (let first = left.shift(); first !== undefined; first = left.shift()) {
    const { at, inside } = first;
    const i = left.findIndex((other) => distance(at, other.at) <= reach);
    const twin = i < 0 ? undefined : left.splice(i, 1)[0];
    const middle = twin ? lerp(at, twin.at, 0.5) : at;
    notches.push({
      at: middle,
      kind: twin ? 'double' : 'single',
      ...(inside ? { inside: add(inside, sub(middle, at)) } : {}),
    });
  }
  return notches;
}
